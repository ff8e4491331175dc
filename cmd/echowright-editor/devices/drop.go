//go:build !js

package devices

import (
	"io/fs"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/store"
)

// TakeDrops begins to read files dropped since the last tick; Drops gives them when they are read.
func (m *Machine) TakeDrops(at canvas.Point, now time.Duration) {
	if files := ebiten.DroppedFiles(); files != nil {
		m.beside(false, func() []editor.Reply {
			m.readDrop(files, at, now)
			return nil
		})
	}
}

// mostDropped bounds what one drop can bring.
const mostDropped = 64

// readDrop reads dropped files, folders included; what cannot be read is left out.
func (m *Machine) readDrop(files fs.FS, at canvas.Point, now time.Duration) {
	e := input.Event{Kind: input.Drop, At: at, Now: now}
	defer func() {
		_ = recover() // a drop made by a program may hand over files that are none; what was read before counts
		m.drop(e)
	}()
	_ = fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil
		}
		if len(e.Files) >= mostDropped {
			return fs.SkipAll
		}
		f, err := files.Open(name)
		if err != nil {
			return nil
		}
		defer f.Close()
		if data, err := store.ReadAll(f, largest); err == nil {
			e.Files = append(e.Files, input.File{Name: name, Data: data})
		}
		return nil
	})
}
