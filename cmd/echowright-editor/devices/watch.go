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
}

// everySecond is how often the open file is looked at: a question to the system, not a read.
const everySecond = time.Second

// stamp changes whenever a file is written or replaced; "" when there is none.
func stamp(name string) string {
	st, err := os.Stat(name)
	if err != nil || st.IsDir() {
		return ""
	}
	return fmt.Sprint(st.ModTime().UnixNano(), st.Size())
}

// look watches name from now on instead of what was watched before, and gives a Read nobody asked for whenever
// another program changes it. at and data are how it stands; name "" watches nothing.
func (m *Machine) look(name, at string, data []byte) {
	m.watch.mu.Lock()
	defer m.watch.mu.Unlock()
	if m.watch.stop != nil {
		close(m.watch.stop)
		m.watch.stop = nil
	}
	if name == "" {
		return
	}
	stop := make(chan struct{})
	m.watch.stop = stop
	go m.keepLooking(name, at, data, stop)
}

func (m *Machine) keepLooking(name, at string, data []byte, stop chan struct{}) {
	tick := time.NewTicker(everySecond)
	defer tick.Stop()
	for {
		select {
		case <-stop:
			return
		case <-tick.C:
		}
		now := stamp(name)
		if now == at || now == "" { // gone for a moment while another program replaces it, or for good: still ours
			continue
		}
		fresh, err := store.Read(name, largest)
		if err != nil {
			continue
		}
		at = now
		if bytes.Equal(fresh, data) {
			continue
		}
		data = fresh
		m.mu.Lock()
		select {
		case <-stop: // another file has been opened meanwhile
		default:
			m.replies = append(m.replies, editor.Reply{Kind: editor.Read, Name: name, Data: data})
		}
		m.mu.Unlock()
	}
}
