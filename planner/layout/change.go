package layout

import (
	"errors"
	"fmt"
	"slices"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// Verb is what an [Edit] does.
type Verb int

// The verbs.
const (
	// Set replaces the value at Path by Text, or adds the key that Path ends with, and the maps round it that are missing. Of a
	// value written as {value, spread, source} a plain Text replaces the value only.
	Set Verb = iota
	// Add puts Text into the list at Path as a new item, or adds the key or name that Path ends with; at a map of names Text
	// may also give both, as leg: {shape: post}. It stands behind the item or
	// key that After names, first where After is "0", at the end where it is "". A list that is missing is begun.
	Add
	// Remove takes the item or key at Path out, its line with the comment behind it and comments indented below it. A list or map left
	// with nothing in it goes too, unless the format needs it, a comment stands over what was in it, or it was written
	// in brackets on a line of its own and may be empty.
	Remove
	// Rename gives the sensor entry, zone, part, state, target or kind at Path the name Text, wherever the document speaks of it.
	Rename
)

// Edit is one change to a document. Path is as [Entry.Path] gives it: keys, and items by their name or their number from 1. Text
// is one value as a layout writes it, on one line: 250 mm, or {from: front, left: 100 mm}; quotes are put where YAML needs them,
// but for what begins with a bracket.
type Edit struct {
	Do    Verb
	Path  string
	Text  string
	After string
}

// Change returns the document with edits made, each on the outcome of those before, all or none. Every byte that is not part of
// a value put in, replaced or taken out stays: comments, order, blank lines, alignment, line ends.
//
// The document may have faults before and after; the list is what is wrong with the outcome, as [Draft] would say. The error is for an
// edit that has no place in the document, or that would change what it does not name, as through an alias.
func (d *Document) Change(edits ...Edit) (*Document, diag.List, error) {
	known := map[*yaml.Node]*shape{}
	e := &editor{scanned: d.text, top: d.top, spec: d.spec, want: shapeOf(d.top, known)}
	for _, ed := range edits {
		if err := e.make(ed); err != nil {
			return nil, nil, err
		}
	}
	text, err := e.applied()
	if err != nil {
		return nil, nil, err
	}
	changed, list := d.draftChanged(e, text)
	if changed == nil {
		return nil, nil, fmt.Errorf("this cannot be written there: %w", list)
	}
	if other := e.want.other(changed.top, known); other != "" {
		return nil, nil, fmt.Errorf("this would also change %s", other)
	}
	return changed, list, nil
}

// draftChanged reads the text that edits came to, parsing no more of it than they touched where that is the same.
func (d *Document) draftChanged(e *editor, text []byte) (*Document, diag.List) {
	data := slices.Concat(d.data[:d.text.skip], text)
	if e.top == d.top { // what is pending is of the text as it was
		if s, bad := scan(data); bad == nil {
			if top := d.patched(s, e.pending); top != nil {
				return readTree(d.file, data, d.spec, s, top)
			}
		}
	}
	return draft(d.file, data, d.spec)
}

// Text returns the value at a path on one line, as an [Edit] takes it: of a single value what it says, without quotes. Values
// that the checks refuse are there too.
func (d *Document) Text(path string) (text string, ok bool) {
	at, rest := spotAt(d.top, d.spec, path)
	switch {
	case len(rest) > 0:
		return "", false
	case at.in().Kind == yaml.ScalarNode:
		return at.in().Value, true
	}
	return d.text.oneLine(at.y, 0), true
}

// splice is a range of text with what takes its place.
type splice struct {
	from, to int
	text     string
}

// editor makes edits on a text.
type editor struct {
	scanned
	top     *yaml.Node
	spec    *spec
	want    *shape   // what the outcome must say
	pending []splice // found in text and not yet made
	simple  bool     // pending are all single values replaced
}

// make makes one edit.
func (e *editor) make(ed Edit) error {
	if ed.Do == Set {
		done, err := e.quick(ed)
		if done || err != nil {
			return err
		}
	}
	if err := e.flush(); err != nil {
		return err
	}
	switch ed.Do {
	case Set:
		return e.set(ed)
	case Add:
		return e.add(ed)
	case Remove:
		return e.remove(ed.Path)
	case Rename:
		return e.rename(ed)
	}
	return fmt.Errorf("there is no edit %d", ed.Do)
}

// quick replaces one written value without looking at the text anew, beside others that were replaced so.
func (e *editor) quick(ed Edit) (done bool, err error) {
	if len(e.pending) > 0 && !e.simple {
		return false, nil
	}
	at, rest := spotAt(e.top, e.spec, ed.Path)
	if len(rest) > 0 || at.up == nil || isBlock(at.y) || at.key != nil && at.key.Value == "name" || at.key == nil && nameOf(at.y) != "" {
		return false, nil // what other edits may find their way by is not replaced aside
	}
	was := e.pending
	e.pending = nil
	want := e.want
	if err = e.replace(at, ed.Text); err != nil {
		return false, err
	}
	mine := e.pending
	e.pending = was
	for _, a := range was {
		for _, b := range mine {
			if a.from <= b.to && b.from <= a.to {
				e.want = want
				return false, nil
			}
		}
	}
	e.pending, e.simple = append(was, mine...), true
	return true, nil
}

// applied returns the text with what is pending made.
func (e *editor) applied() ([]byte, error) {
	slices.SortStableFunc(e.pending, func(a, b splice) int { return a.from - b.from })
	var out []byte
	at := 0
	for _, s := range e.pending {
		if s.from < at || s.to < s.from || s.to > len(e.text) {
			return nil, errors.New("this cannot be changed there; change it in a text editor")
		}
		out = append(append(out, e.text[at:s.from]...), s.text...)
		at = s.to
	}
	return append(out, e.text[at:]...), nil
}

// flush makes what is pending and looks at the text anew.
func (e *editor) flush() error {
	if len(e.pending) == 0 {
		return nil
	}
	text, err := e.applied()
	if err != nil {
		return err
	}
	s, bad := scan(text)
	var top *yaml.Node
	if bad == nil {
		top, bad = s.parseYAML()
	}
	if bad != nil {
		return fmt.Errorf("this cannot be written there: %w", *bad)
	}
	e.scanned, e.top, e.pending, e.simple = s, top, nil, false
	return nil
}

func (e *editor) splice(from, to int, text string) {
	e.pending = append(e.pending, splice{from, to, text})
}

// mean states what the edit does to the value at p.
func (e *editor) mean(p *spot, f func(s *shape)) { e.want = e.want.changed(p.way(), f) }
