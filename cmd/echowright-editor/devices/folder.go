//go:build !js

package devices

import (
	"cmp"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"

	"echowright/planner/editor"
)

// full is a name as a full path; ~ is the user's own folder.
func full(name string) string {
	if rest, ok := strings.CutPrefix(name, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		if home, err := os.UserHomeDir(); err == nil {
			name = home + rest
		}
	}
	if path, err := filepath.Abs(name); err == nil {
		return path
	}
	return name
}

// begin is the folder to begin in: the one the program was called in, or the user's own where that says nothing.
func begin() string {
	dir, err := os.Getwd()
	if err == nil && filepath.Dir(dir) != dir {
		return dir
	}
	if home, err := os.UserHomeDir(); err == nil {
		return home
	}
	return dir
}

// list tells what Text, seen from the folder Name, is, and what a folder holds.
func (m *Machine) list(r editor.Reply) editor.Reply {
	at := full(r.Text)
	if !filepath.IsAbs(r.Text) && !strings.HasPrefix(r.Text, "~") {
		folder := r.Name
		if folder == "" {
			folder = begin()
		}
		at = full(filepath.Join(folder, r.Text))
	}
	st, err := os.Stat(at)
	switch {
	case errors.Is(err, fs.ErrNotExist) && r.Text != "":
		r.Name = at
		return r
	case err != nil:
		r.Err = whyNotRead(at, err)
		return r
	case !st.IsDir():
		if r.Name, r.Found = at, editor.AFile; r.Text == "" {
			r.Err = "it is no folder"
		}
		return r
	}
	entries, err := os.ReadDir(at)
	if err != nil {
		r.Err = whyNotRead(at, err)
		return r
	}
	r.Name, r.Found = at, editor.AFolder
	for _, e := range entries {
		name := e.Name()
		if strings.HasPrefix(name, ".") {
			continue
		}
		if isFolder(at, e) {
			name += "/"
		}
		r.Names = append(r.Names, name)
	}
	slices.SortFunc(r.Names, func(a, b string) int {
		if fa, fb := strings.HasSuffix(a, "/"), strings.HasSuffix(b, "/"); fa != fb {
			if fa {
				return -1
			}
			return 1
		}
		return cmp.Or(strings.Compare(strings.ToLower(a), strings.ToLower(b)), strings.Compare(a, b))
	})
	return r
}

// isFolder follows a link.
func isFolder(dir string, e fs.DirEntry) bool {
	if e.Type()&fs.ModeSymlink == 0 {
		return e.IsDir()
	}
	st, err := os.Stat(filepath.Join(dir, e.Name()))
	return err == nil && st.IsDir()
}

// endless are the kinds of file that may have no end, or keep whoever opens them waiting for ever.
const endless = fs.ModeNamedPipe | fs.ModeSocket | fs.ModeDevice | fs.ModeCharDevice

var errEndless = errors.New("it is a pipe or a device; choose a file")

// whyNotRead says in words why a file or folder cannot be read.
func whyNotRead(name string, err error) string {
	st, lost := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "you may not read it"
	case errors.Is(err, syscall.ENAMETOOLONG):
		return "the name is too long"
	case errors.Is(err, syscall.ENOTDIR):
		return "a part of the path is a file"
	case lost == nil && st.IsDir():
		return "it is a folder"
	}
	return aboutIt(err)
}

// aboutIt is an error of planner/store, which leaves out what it is about.
func aboutIt(err error) string {
	if text := err.Error(); strings.HasPrefix(text, "is ") {
		return "it " + text
	}
	return err.Error()
}

// whyNotWritten says in words why nothing can be written in a folder.
func whyNotWritten(folder string, err error) string {
	_, noFolder := os.Stat(folder)
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), runtime.GOOS == "windows" && fullDisk(err):
		return "there is no room left on the disk; free some or choose another place"
	case errors.Is(err, syscall.EROFS), errors.Is(err, fs.ErrPermission):
		return "you may not write in " + folder + "; choose another place"
	case errors.Is(err, syscall.ENAMETOOLONG):
		return "the name is too long; choose a shorter one"
	case errors.Is(err, syscall.ENOTDIR):
		return "a part of the path is a file; choose another place"
	case errors.Is(err, syscall.EISDIR), strings.HasSuffix(err.Error(), "is a directory"):
		return "a folder has that name; choose another"
	case noFolder != nil:
		return "there is no folder " + folder
	}
	return err.Error()
}

// fullDisk knows the two numbers of a full disk on Windows: ERROR_HANDLE_DISK_FULL and ERROR_DISK_FULL.
func fullDisk(err error) bool {
	var n syscall.Errno
	return errors.As(err, &n) && (n == 39 || n == 112)
}
