//go:build !js

package devices

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"echowright/planner/editor"
	"echowright/planner/store"
)

// mostRecent is how many recent files are kept.
const mostRecent = 10

// recentFile holds a full path a line, the newest first.
func (m *Machine) recentFile() (string, error) {
	dir, err := m.userDir()
	return filepath.Join(filepath.Dir(dir), "recent"), err
}

func (m *Machine) readRecent() (names []string) {
	file, err := m.recentFile()
	if err != nil {
		return nil
	}
	data, err := store.Read(file, 1<<20)
	if err != nil {
		return nil
	}
	for line := range strings.Lines(string(data)) {
		if line = strings.TrimRight(line, "\r\n"); filepath.IsAbs(line) && !slices.Contains(names, line) {
			names = append(names, line)
		}
	}
	return names
}

// keepRecent puts a layout first among the recent ones. That it cannot be kept is no reason to trouble the user.
func (m *Machine) keepRecent(name string) {
	if strings.ContainsAny(name, "\r\n") || isPicture(name) {
		return
	}
	m.recent.Lock()
	defer m.recent.Unlock()
	names := m.readRecent()
	if len(names) > 0 && names[0] == name {
		return
	}
	names = append([]string{name}, slices.DeleteFunc(names, func(n string) bool { return n == name })...)
	file, err := m.recentFile()
	if err == nil && os.MkdirAll(filepath.Dir(file), 0o700) == nil {
		_ = store.WriteFile(file, []byte(strings.Join(names[:min(len(names), mostRecent)], "\n")+"\n"))
	}
}

func isPicture(name string) bool {
	return slices.Contains([]string{".png", ".jpg", ".jpeg"}, strings.ToLower(filepath.Ext(name)))
}

// recents names the recent files that are still there.
func (m *Machine) recents(r editor.Reply) editor.Reply {
	m.recent.Lock()
	defer m.recent.Unlock()
	for _, name := range m.readRecent() {
		if st, err := os.Stat(name); err == nil && !st.IsDir() {
			r.Names = append(r.Names, name)
		}
	}
	return r
}
