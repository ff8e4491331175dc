// Package store is the one place below cmd that touches the disk. In: names and bytes. Out: files
// that are either all there and whole, or not there at all.
package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
)

// Read reads a whole file of at most limit bytes. A directory, a missing file or one that is too
// large is an error whose text can be shown as it is.
func Read(name string, limit int64) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, reason(err)
	}
	defer f.Close()
	if st, err := f.Stat(); err != nil {
		return nil, reason(err)
	} else if st.IsDir() {
		return nil, errors.New("is a directory")
	}
	return ReadAll(f, limit)
}

// ReadAll reads r to its end, at most limit bytes.
func ReadAll(r io.Reader, limit int64) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, reason(err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("is larger than %d KiB; a file of this kind is a few KiB", limit>>10)
	}
	return data, nil
}

// reason strips the operation and the path from an error of the os package: the caller names the file.
func reason(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// WriteFile writes one file so that a reader, a crash or a full disk sees the old content or the new, never a part.
func WriteFile(name string, data []byte) error {
	staged, err := stage(name, data)
	if err != nil {
		return fmt.Errorf("%s: %w", name, reason(err))
	}
	if err := os.Rename(staged, name); err != nil {
		os.Remove(staged)
		return fmt.Errorf("%s: %w", name, reason(err))
	}
	return nil
}

// WriteDir writes files, keyed by plain file name, into dir, which is made if it is missing.
// All of them are on the disk in full before the first takes its place, so a full disk or a
// forbidden folder leaves dir as it was.
func WriteDir(dir string, files map[string][]byte) (err error) {
	made, err := makeDir(dir)
	if err != nil {
		return fmt.Errorf("%s: %w", dir, reason(err))
	}
	var staged []string
	defer func() {
		if err == nil {
			return
		}
		for _, s := range staged {
			os.Remove(s)
		}
		for _, d := range made {
			os.Remove(d) // only when empty
		}
	}()
	names := make([]string, 0, len(files))
	for n := range files {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		s, err := stage(filepath.Join(dir, n), files[n])
		if err != nil {
			return fmt.Errorf("%s: %w", filepath.Join(dir, n), reason(err))
		}
		staged = append(staged, s)
	}
	for i, n := range names {
		if err := os.Rename(staged[i], filepath.Join(dir, n)); err != nil {
			return fmt.Errorf("%s: %w", filepath.Join(dir, n), reason(err))
		}
	}
	return nil
}

// makeDir makes dir and its missing parents and returns those it made, innermost first.
func makeDir(dir string) (made []string, err error) {
	var missing []string
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); err == nil || d == filepath.Dir(d) {
			break
		}
		missing = append(missing, d)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		for _, d := range missing {
			os.Remove(d)
		}
		return nil, err
	}
	return missing, nil
}

// stage writes data to a new file beside name and returns its path; the data has reached the disk.
func stage(name string, data []byte) (path string, err error) {
	mode := fs.FileMode(0o644)
	if st, err := os.Stat(name); err == nil {
		if st.IsDir() {
			return "", errors.New("is a directory")
		}
		mode = st.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(name), "."+filepath.Base(name)+".*")
	if err != nil {
		return "", err
	}
	defer func() {
		if err != nil {
			f.Close()
			os.Remove(f.Name())
		}
	}()
	if _, err = f.Write(data); err != nil {
		return "", err
	}
	if err = f.Chmod(mode); err != nil {
		return "", err
	}
	if err = f.Sync(); err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}
