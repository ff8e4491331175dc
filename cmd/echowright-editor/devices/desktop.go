//go:build !js

package devices

import (
	"errors"
	"os"
	"path/filepath"
	"sync"

	"github.com/atotto/clipboard"

	"echowright/planner/editor"
	"echowright/planner/store"
)

// system is what only a desktop needs: the file that is open, to tell when another program changes it.
type system struct {
	watch  watch
	recent sync.Mutex // held while the list of recent files is changed
	paper  sync.Mutex // held while the paper's word is written
	// kept, chooser and board stand in for the user's own folder, dialogs and clipboard; nil is the real one.
	keptDir string
	choose  func(dialog) (string, error)
	board   board
}

// board is a clipboard.
type board interface {
	ReadAll() (string, error)
	WriteAll(string) error
}

type systemBoard struct{}

func (systemBoard) ReadAll() (string, error) {
	if clipboard.Unsupported {
		return "", errNoClipboard
	}
	return clipboard.ReadAll()
}

func (systemBoard) WriteAll(s string) error {
	if clipboard.Unsupported {
		return errNoClipboard
	}
	return clipboard.WriteAll(s)
}

var errNoClipboard = errors.New("no clipboard program (xclip, xsel or wl-clipboard)")

func (m *Machine) clipboard() board {
	if m.board != nil {
		return m.board
	}
	return systemBoard{}
}

// largest is how many bytes of a file are read: layouts are a few KiB, photos some MiB.
const largest = 64 << 20

func (m *Machine) read(r editor.Reply) editor.Reply {
	name := full(r.Name)
	at := stamp(name) // before reading: what is written meanwhile is then seen as a change
	if st, err := os.Stat(name); err == nil && st.Mode()&endless != 0 {
		r.Err = errEndless.Error()
		return r
	}
	data, err := store.Read(name, largest)
	if err != nil {
		r.Err = whyNotRead(name, err)
		return r
	}
	m.look(name, at, data)
	m.keepRecent(name)
	r.Name, r.Data = name, data
	return r
}

func (m *Machine) open(r editor.Reply) editor.Reply {
	if r, ok := m.chosen(&r, dialog{kind: openFile}); !ok {
		return r
	}
	return m.read(r)
}

// chosen lets the user choose and puts the name into the reply; ok is false when there is nothing to go on with.
func (m *Machine) chosen(r *editor.Reply, d dialog) (editor.Reply, bool) {
	choose := m.choose
	if choose == nil {
		choose = ask
	}
	name, err := choose(d)
	switch {
	case errors.Is(err, errNothingChosen):
		r.Gone = true
	case errors.Is(err, errNoChooser):
		r.Err, r.Chooser = err.Error(), true
	case err != nil:
		r.Err = err.Error()
	default:
		r.Name = name
	}
	return *r, err == nil
}

func (m *Machine) save(r editor.Reply, data []byte) editor.Reply {
	r.Data = data
	name := full(r.Name)
	to := name
	if real, err := filepath.EvalSymlinks(name); err == nil {
		to = real // a link stays a link: what it points to is replaced
	}
	before := m.pause() // our own writing is no change by another
	if err := store.WriteFile(to, data); err != nil {
		m.look(before.name, before.at, before.data)
		r.Err = whyNotWritten(filepath.Dir(to), err)
		return r
	}
	m.look(name, stamp(name), data)
	m.keepRecent(name)
	r.Name = name
	return r
}

func (m *Machine) saveAs(r editor.Reply, data []byte) editor.Reply {
	r.Data = data
	if r, ok := m.chosen(&r, dialog{kind: saveFile, proposal: r.Name}); !ok {
		return r
	}
	return m.save(r, data)
}

// takeAway writes into the folder named; which one that is, the editor asks itself, since it says what will be written.
func (m *Machine) takeAway(r editor.Reply, files map[string][]byte) editor.Reply {
	r.Files = files
	if r.Name == "" {
		r.Err, r.Chooser = errNoChooser.Error(), true
		return r
	}
	r.Name = full(r.Name)
	if err := store.WriteDir(r.Name, files); err != nil {
		in := r.Name
		if _, none := os.Stat(in); none != nil {
			in = filepath.Dir(in)
		}
		r.Err = whyNotWritten(in, err)
	}
	return r
}

func (m *Machine) copy(r editor.Reply, text string) editor.Reply {
	if err := m.clipboard().WriteAll(text); err != nil {
		r.Err = err.Error()
	}
	return r
}

// paste gives the clipboard's text; where the system has no clipboard, what was last copied here.
func (m *Machine) paste(r editor.Reply) editor.Reply {
	own, alone := m.recall()
	text, err := m.clipboard().ReadAll()
	switch {
	case err != nil && alone, errors.Is(err, errNoClipboard):
		text = own
	case err != nil: // an empty clipboard is an error to some of the programs
		r.Gone = true
	}
	r.Text = text
	return r
}

// Close ends what still runs beside the loop.
func (m *Machine) Close() { m.pause() }

// userDir is where the editor keeps what the user did not save.
func (m *Machine) userDir() (string, error) {
	if m.keptDir != "" {
		return m.keptDir, nil
	}
	dir, err := os.UserConfigDir()
	if err != nil {
		return "", err
	}
	return filepath.Join(dir, "echowright", "kept"), nil
}
