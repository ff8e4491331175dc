package store

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func list(t *testing.T, dir string) []string {
	t.Helper()
	var names []string
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range es {
		names = append(names, e.Name())
	}
	return names
}

func TestWriteDirAllOrNothing(t *testing.T) {
	dir := t.TempDir()
	if err := WriteDir(dir, map[string][]byte{"a": []byte("old")}); err != nil {
		t.Fatal(err)
	}
	// A folder where a file must go makes the second of three fail.
	if err := os.Mkdir(filepath.Join(dir, "b"), 0o755); err != nil {
		t.Fatal(err)
	}
	err := WriteDir(dir, map[string][]byte{"a": []byte("new"), "b": []byte("x"), "c": []byte("y")})
	if err == nil {
		t.Fatal("a file over a folder was accepted")
	}
	if got := list(t, dir); len(got) != 2 {
		t.Errorf("left behind: %v", got)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "a")); string(got) != "old" {
		t.Errorf("a = %q, want the old content", got)
	}
}

func TestWriteDirMakesAndUnmakesParents(t *testing.T) {
	root := t.TempDir()
	deep := filepath.Join(root, "x", "y")
	if err := WriteDir(deep, map[string][]byte{"sub/none": []byte("1")}); err == nil {
		t.Fatal("a name with a missing folder was accepted")
	}
	if got := list(t, root); len(got) != 0 {
		t.Errorf("left behind: %v", got)
	}
	if err := WriteDir(deep, map[string][]byte{"f": []byte("1")}); err != nil {
		t.Fatal(err)
	}
}

func TestReadRefuses(t *testing.T) {
	dir := t.TempDir()
	big := filepath.Join(dir, "big")
	if err := os.WriteFile(big, bytes.Repeat([]byte("x"), 2049), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{dir: "directory", big: "larger than 2 KiB", filepath.Join(dir, "no"): "no such file"} {
		if _, err := Read(name, 2048); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Read(%s) = %v, want %q", name, err, want)
		}
	}
}

func TestWriteFileKeepsMode(t *testing.T) {
	f := filepath.Join(t.TempDir(), "f")
	if err := os.WriteFile(f, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(f, []byte("new")); err != nil {
		t.Fatal(err)
	}
	st, _ := os.Stat(f)
	if st.Mode().Perm() != 0o600 {
		t.Errorf("mode %v, want 0600", st.Mode())
	}
}
