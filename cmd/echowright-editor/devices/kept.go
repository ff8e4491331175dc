//go:build !js

package devices

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"echowright/planner/editor"
	"echowright/planner/store"
)

// Unsaved work lies in one file a name: the name, quoted, on its first line, then the work as it is.
const keptSuffix = ".kept"

func keptFile(dir, name string) string {
	return filepath.Join(dir, fmt.Sprintf("%x", sha256.Sum256([]byte(name)))[:24]+keptSuffix)
}

func (m *Machine) keepAside(r editor.Reply, data []byte) editor.Reply {
	dir, err := m.userDir()
	if err == nil {
		if err = os.MkdirAll(dir, 0o700); err == nil {
			err = store.WriteFile(keptFile(dir, r.Name), append([]byte(strconv.Quote(r.Name)+"\n"), data...))
		}
	}
	if err != nil {
		r.Err = whyNotWritten(dir, err)
	}
	return r
}

func (m *Machine) forget(r editor.Reply) editor.Reply {
	dir, err := m.userDir()
	if err == nil {
		err = os.Remove(keptFile(dir, r.Name))
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		r.Err = err.Error()
	}
	return r
}

// kept gives a reply for each piece of unsaved work; Text says when it was kept (RFC 3339).
func (m *Machine) kept() []editor.Reply {
	dir, err := m.userDir()
	if err != nil {
		return nil
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil // none was ever kept
	}
	var rs []editor.Reply
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), keptSuffix) {
			continue
		}
		data, err := store.Read(filepath.Join(dir, e.Name()), largest)
		if err != nil {
			continue
		}
		first, rest, found := bytes.Cut(data, []byte("\n"))
		name, err := strconv.Unquote(string(first))
		if !found || err != nil {
			continue // not ours
		}
		r := editor.Reply{Kind: editor.Kept, Name: name, Data: rest}
		if st, err := e.Info(); err == nil {
			r.Text = st.ModTime().UTC().Format(time.RFC3339)
		}
		rs = append(rs, r)
	}
	return rs
}
