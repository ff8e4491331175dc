//go:build !js

package devices

import (
	"os"
	"path/filepath"
	"strings"

	"echowright/planner/store"
)

// paperFile holds one word: whether the paper was dark or light when the program was last used.
func (m *Machine) paperFile() (string, error) {
	dir, err := m.userDir()
	return filepath.Join(filepath.Dir(dir), "paper"), err
}

// keepPaper keeps it for the next start. That it cannot be kept is no reason to trouble the user.
func (m *Machine) keepPaper(paper string) {
	m.paper.Lock()
	defer m.paper.Unlock()
	file, err := m.paperFile()
	if err == nil && os.MkdirAll(filepath.Dir(file), 0o700) == nil {
		_ = store.WriteFile(file, []byte(paper+"\n"))
	}
}

// Dark reports whether the paper was dark when the program was last used.
func (m *Machine) Dark() bool {
	file, err := m.paperFile()
	if err != nil {
		return false
	}
	data, err := store.Read(file, 1<<10)
	return err == nil && strings.TrimSpace(string(data)) == "dark"
}
