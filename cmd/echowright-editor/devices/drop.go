//go:build !js

package devices

import (
	"errors"
	"io/fs"
	"path"
	"slices"
	"strings"
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

// mostDropped bounds how many files one drop can bring; all of them together are no larger than one that is opened.
const mostDropped = 64

// readDrop reads dropped files, and of folders those that are called as layouts and pictures are.
func (m *Machine) readDrop(files fs.FS, at canvas.Point, now time.Duration) {
	e := input.Event{Kind: input.Drop, At: at, Now: now}
	room := int64(largest)
	defer func() {
		_ = recover() // the list of them may be none either; what was read before counts
		m.drop(e)
	}()
	_ = fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() || strings.Contains(name, "/") && !usable(name) {
			return nil
		}
		if len(e.Files) >= mostDropped {
			return fs.SkipAll
		}
		one := input.File{Name: name}
		if err == nil && d.Type()&endless != 0 {
			err = errEndless
		}
		if err == nil {
			one.Data, err = readOne(files, name, room)
		}
		if err != nil {
			one.Err = aboutIt(err)
		}
		room -= int64(len(one.Data))
		e.Files = append(e.Files, one)
		return nil
	})
}

var errNoFile = errors.New("it is no file that can be read")

func readOne(files fs.FS, name string, room int64) (data []byte, err error) {
	defer func() {
		if recover() != nil { // a drop made by a program may hand over files that are none
			err = errNoFile
		}
	}()
	f, err := files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return store.ReadAll(f, room)
}

// usable reports whether a file is called as what can be opened.
func usable(name string) bool {
	return slices.Contains([]string{".yaml", ".yml", ".png", ".jpg", ".jpeg"}, strings.ToLower(path.Ext(name)))
}
