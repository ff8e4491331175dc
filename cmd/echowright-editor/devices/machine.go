package devices

import (
	"slices"
	"sync"

	"echowright/planner/editor"
	"echowright/planner/editor/input"
)

// Machine fulfils wishes beside the frame loop. The zero value is the machine it runs on.
type Machine struct {
	mu      sync.Mutex
	replies []editor.Reply
	dropped []input.Event
	writing int // wishes on their way that must not be cut short
	quit    bool
	text    string // last copied, for where the system has no clipboard
	alone   bool   // that text did not reach the system's clipboard
	system
}

// Do begins to fulfil a wish; Replies tells what came of it.
func (m *Machine) Do(w editor.Wish) {
	if w.Kind == editor.Quit {
		m.mu.Lock()
		m.quit = true
		m.mu.Unlock()
		return
	}
	writes := !slices.Contains([]editor.WishKind{editor.Open, editor.Read, editor.Paste, editor.Kept, editor.List, editor.Recents}, w.Kind)
	m.beside(writes, func() []editor.Reply { return m.fulfil(w) })
}

// beside runs work in its own goroutine and keeps its replies.
func (m *Machine) beside(writes bool, work func() []editor.Reply) {
	n := 0
	if writes {
		n = 1
	}
	m.mu.Lock()
	m.writing += n
	m.mu.Unlock()
	go func() {
		rs := work()
		m.mu.Lock()
		defer m.mu.Unlock()
		m.writing -= n
		m.replies = append(m.replies, rs...)
	}()
}

// Replies are what came of wishes since the last call.
func (m *Machine) Replies() []editor.Reply {
	m.mu.Lock()
	defer m.mu.Unlock()
	rs := m.replies
	m.replies = nil
	return rs
}

// Drops are the files dropped on the window since the last call, read.
func (m *Machine) Drops() []input.Event {
	m.mu.Lock()
	defer m.mu.Unlock()
	es := m.dropped
	m.dropped = nil
	return es
}

// Over reports whether the editor wished to end, and nothing it wished to be written is still on its way.
func (m *Machine) Over() bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.quit && m.writing == 0
}

func (m *Machine) drop(e input.Event) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.dropped = append(m.dropped, e)
}

// remember keeps a copied text and whether the system's clipboard has it too; recall gives both back.
func (m *Machine) remember(s string, alone bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.text, m.alone = s, alone
}

func (m *Machine) recall() (s string, alone bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.text, m.alone
}

func one(r editor.Reply) []editor.Reply { return []editor.Reply{r} }

// fulfil carries out one wish from end to end; it may take as long as the user takes.
func (m *Machine) fulfil(w editor.Wish) []editor.Reply {
	r := editor.Reply{Kind: w.Kind, Name: w.Name, Text: w.Text}
	switch w.Kind {
	case editor.Open:
		return one(m.open(r))
	case editor.Read:
		return one(m.read(r))
	case editor.Save:
		return one(m.save(r, w.Data))
	case editor.SaveAs:
		return one(m.saveAs(r, w.Data))
	case editor.TakeAway:
		return one(m.takeAway(r, w.Files))
	case editor.Copy:
		r = m.copy(r, w.Text)
		m.remember(w.Text, r.Err != "")
		return one(r)
	case editor.Paste:
		return one(m.paste(r))
	case editor.KeepAside:
		return one(m.keepAside(r, w.Data))
	case editor.Forget:
		return one(m.forget(r))
	case editor.Kept:
		return m.kept()
	case editor.List:
		return one(m.list(r))
	case editor.Recents:
		return one(m.recents(r))
	case editor.Paper:
		m.keepPaper(w.Text)
		return one(r)
	}
	r.Err = "not known to this machine"
	return one(r)
}

// Begin reads the file named in the call, as if the user had chosen it.
func (m *Machine) Begin(name string) {
	m.beside(false, func() []editor.Reply { return one(m.read(editor.Reply{Kind: editor.Open, Name: name})) })
}
