package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/diag"
	"echowright/planner/scene"
	"echowright/planner/store"
)

// fileLimit is far above any layout or instance and far below what hurts.
const fileLimit = 1 << 20

// inputError is a file that could not be read or written.
type inputError struct{ err error }

func (e inputError) Error() string { return e.err.Error() }
func (e inputError) Unwrap() error { return e.err }

// unreadable is the message for a file that cannot be read.
func unreadable(shown string, err error) error {
	wrong, right, said := strings.Cut(err.Error(), "; ")
	switch {
	case errors.Is(err, fs.ErrNotExist):
		right = "check the name, or start one with 'echowright new'"
	case !said:
		right = "name a file that can be read"
	}
	return diag.List{{File: shown, Line: 1, Col: 1, Wrong: "cannot be read: " + wrong, Right: right}}
}

// load reads and resolves a layout.
func (c *call) load(name string) (*scene.Scene, error) {
	shown, data, err := c.readUpTo(name, fileLimit)
	if err != nil {
		return nil, err
	}
	sc, list := planner.Load(shown, data, assets.Kinds())
	if len(list) > 0 {
		return nil, list
	}
	return sc, nil
}

// deliver writes data to the named file, or to standard output when the name is empty.
func (c *call) deliver(name string, data []byte) error {
	if name == "" {
		_, err := c.out.Write(data)
		return err
	}
	if err := store.WriteFile(name, data); err != nil {
		return inputError{fmt.Errorf("nothing was written: %w", err)}
	}
	return nil
}
