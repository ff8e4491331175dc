// Package undo keeps the states a document went through, so that each change can be taken back and made again.
//
// In: states of any comparable kind and the name of the change that led to each. Out: the state before or after.
package undo

// Log is the states of one document. The zero Log is of no use; start with New.
type Log[S comparable] struct {
	past  []entry[S] // the last is the present
	ahead []entry[S] // what was undone, the next first
	saved S
	open  bool // the present entry still grows: a drag
	limit int
}

type entry[S comparable] struct {
	state S
	name  string
}

// New starts a log with a state that counts as saved. It keeps at most limit changes, the latest.
func New[S comparable](state S, limit int) *Log[S] {
	return &Log[S]{past: []entry[S]{{state: state}}, saved: state, limit: max(1, limit)}
}

// Most sets how many changes are kept from the next change on.
func (l *Log[S]) Most(limit int) { l.limit = max(1, limit) }

// Now is the present state.
func (l *Log[S]) Now() S { return l.past[len(l.past)-1].state }

// Do makes a change. A state equal to the present one is none.
func (l *Log[S]) Do(name string, state S) {
	l.Close()
	l.add(name, state)
}

// Drag makes a change that the next Drag of the same name replaces, until Close: a gesture is one entry.
func (l *Log[S]) Drag(name string, state S) {
	if l.open && l.past[len(l.past)-1].name == name {
		l.past[len(l.past)-1].state = state
		return
	}
	l.Close()
	if l.add(name, state) {
		l.open = true
	}
}

func (l *Log[S]) add(name string, state S) bool {
	if state == l.Now() {
		return false
	}
	l.past, l.ahead = append(l.past, entry[S]{state, name}), nil
	if drop := len(l.past) - 1 - l.limit; drop > 0 {
		l.past = append([]entry[S]{}, l.past[drop:]...)
	}
	return true
}

// Close ends a gesture. One that came back to where it began leaves no entry.
func (l *Log[S]) Close() {
	if n := len(l.past); l.open && l.past[n-1].state == l.past[n-2].state {
		l.past = l.past[:n-1]
	}
	l.open = false
}

// Abandon ends a gesture and takes it back, without a trace.
func (l *Log[S]) Abandon() {
	if l.open {
		l.past = l.past[:len(l.past)-1]
		l.open = false
	}
}

// Undo goes back by one change and returns its name; "" when there is none.
func (l *Log[S]) Undo() string {
	l.Close()
	if len(l.past) < 2 {
		return ""
	}
	last := l.past[len(l.past)-1]
	l.past, l.ahead = l.past[:len(l.past)-1], append(l.ahead, last)
	return last.name
}

// Redo makes the change again that was undone last and returns its name; "" when there is none.
func (l *Log[S]) Redo() string {
	l.Close()
	if len(l.ahead) == 0 {
		return ""
	}
	next := l.ahead[len(l.ahead)-1]
	l.ahead, l.past = l.ahead[:len(l.ahead)-1], append(l.past, next)
	return next.name
}

// Undoes and Redoes name the change that Undo and Redo would take back or make again.
func (l *Log[S]) Undoes() string {
	if len(l.past) < 2 {
		return ""
	}
	return l.past[len(l.past)-1].name
}

// Redoes names the change that Redo would make.
func (l *Log[S]) Redoes() string {
	if len(l.ahead) == 0 {
		return ""
	}
	return l.ahead[len(l.ahead)-1].name
}

// Saved marks a state as the one on the disk.
func (l *Log[S]) Saved(state S) { l.saved = state }

// Dirty reports whether the present state is not the saved one.
func (l *Log[S]) Dirty() bool { return l.Now() != l.saved }
