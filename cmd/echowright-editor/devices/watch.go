//go:build !js

package devices

import (
	"bytes"
	"fmt"
	"os"
	"sync"
	"time"

	"echowright/planner/editor"
	"echowright/planner/store"
)

// watch is the open file as last read or written here.
type watch struct {
	mu   sync.Mutex
	stop chan struct{}
	seen
}

// seen is a file as it stood: stamp and content. Without a name it is none.
type seen struct {
	name, at string
	data     []byte
}

// everySecond is how often the open file is looked at: a question to the system, not a read.
const everySecond = time.Second

// goneFor is how many looks in a row a file must be missing: another program may be replacing it.
const goneFor = 3

// stamp changes whenever a file is written, replaced or given other permissions; "" when there is none.
func stamp(name string) string {
	st, err := os.Stat(name)
	if err != nil || st.IsDir() {
		return ""
	}
	return fmt.Sprint(st.ModTime().UnixNano(), st.Size(), st.Mode())
}

// pause ends the watching and tells what was watched.
func (m *Machine) pause() seen {
	m.watch.mu.Lock()
	defer m.watch.mu.Unlock()
	was := m.watch.seen
	if m.watch.stop != nil {
		close(m.watch.stop)
	}
	m.watch.stop, m.watch.seen = nil, seen{}
	return was
}

// look watches name from now on instead of what was watched before, and gives a Read nobody asked for whenever
// another program changes it, or takes it away. at and data are how it stands; name "" watches nothing.
func (m *Machine) look(name, at string, data []byte) {
	m.watch.mu.Lock()
	defer m.watch.mu.Unlock()
	if m.watch.stop != nil {
		close(m.watch.stop)
		m.watch.stop = nil
	}
	m.watch.seen = seen{name, at, data}
	if name == "" {
		return
	}
	stop := make(chan struct{})
	m.watch.stop = stop
	go m.keepLooking(m.watch.seen, stop)
}

func (m *Machine) keepLooking(was seen, stop chan struct{}) {
	tick := time.NewTicker(everySecond)
	defer tick.Stop()
	missing, lost := 0, false
	for {
		select {
		case <-stop:
			return
		case <-tick.C:
		}
		r := editor.Reply{Kind: editor.Read, Name: was.name}
		now := stamp(was.name)
		if now == "" {
			was.at = ""
			if missing++; missing < goneFor || lost {
				continue
			}
			lost, r.Lost = true, true
			m.tell(was, r, stop)
			continue
		}
		missing = 0
		if now == was.at {
			continue
		}
		was.at = now
		fresh, err := store.Read(was.name, largest)
		switch {
		case err != nil && lost:
			continue
		case err != nil:
			lost, r.Lost, r.Err = true, true, whyNotRead(was.name, err)
		case bytes.Equal(fresh, was.data) && !lost:
			continue
		default:
			lost, was.data, r.Data = false, fresh, fresh
		}
		m.tell(was, r, stop)
	}
}

// tell hands over what was seen, unless another file has been opened meanwhile.
func (m *Machine) tell(was seen, r editor.Reply, stop chan struct{}) {
	m.watch.mu.Lock()
	defer m.watch.mu.Unlock()
	if m.watch.stop != stop {
		return
	}
	m.watch.seen = was
	m.mu.Lock()
	defer m.mu.Unlock()
	m.replies = append(m.replies, r)
}
