package layout

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
	"echowright/planner/quantity"
)

// Entry is one place of a document: a map, a list or a value, checked against the table. The zero
// Entry stands for what is not there: it is empty, reads as nothing and has no place.
type Entry struct{ n *node }

// node is what the checks found at one place. Which fields are set depends on form.
type node struct {
	spec      *spec
	doc       *Document
	parent    *node
	key       string // own key, or name or number from 1 within a list
	line, col int    // where the value stands
	form      Form
	assumed   bool     // made from the table's default
	faulty    bool     // something in it or below was refused and may have been meant
	lost      []string // keys and names below it that are written, meant or due, and cannot be relied on
	short     bool     // of a list or of names: some could not be read
	lone      bool     // the only one where a list may stand, not in brackets
	yaml      *yaml.Node

	keys  []string // of a map, in file order
	kids  map[string]*node
	items []*node

	text    string // of texts, names and choices, and the word written instead of a quantity
	word    string // that follows a quantity
	lo, hi  float64
	unit    quantity.Kind
	flag    bool
	spread  float64
	spreads bool
}

// Exists reports whether e is really there.
func (e Entry) Exists() bool { return e.n != nil }

// Assumed reports whether e was not written in the file but comes from a default of the table.
func (e Entry) Assumed() bool { return e.n != nil && e.n.assumed }

// Get returns the entry written under a key of the map e, or under a dotted path such as "timing.by" or
// "sensors.bow", whose steps are as [Entry.Path] gives them. ok is false when it is not written.
func (e Entry) Get(path string) (got Entry, ok bool) {
	n := e.n
	steps := strings.Split(path, ".")
	for i, key := range steps {
		if n == nil {
			return Entry{}, false
		}
		if n.form == BySensor && i+1 < len(steps) { // "bow.1" is one name
			n = n.under(key + "." + steps[i+1])
			break
		}
		n = n.under(key)
	}
	return Entry{n}, n != nil
}

// Has reports whether a key or dotted path is written below e.
func (e Entry) Has(path string) bool {
	_, ok := e.Get(path)
	return ok
}

// Value returns the entry written under the key of the map e, or else one made from the default the
// table gives for it; [Entry.Assumed] tells them apart. It does not exist when there is neither, or what
// is written was refused.
func (e Entry) Value(key string) Entry {
	if e.n == nil {
		return Entry{}
	}
	if got, ok := e.n.kids[key]; ok {
		return Entry{got}
	}
	if slices.Contains(e.n.lost, key) {
		return Entry{}
	}
	return e.Default(key)
}

// Default returns an entry made from the default the table gives for the key of the map e. It stands
// at the place of e and does not exist when the table has none.
func (e Entry) Default(key string) Entry {
	if e.n == nil || e.n.spec == nil {
		return Entry{}
	}
	return Entry{e.n.fill(key)}
}

// Keys returns the keys of the map e in file order.
func (e Entry) Keys() []string {
	if e.n == nil {
		return nil
	}
	return slices.Clone(e.n.keys)
}

// Faulty reports whether anything at or below the keys of the map e was refused, or is missing and due,
// so that nothing should be concluded from its value or its absence; without keys, whether anything in or
// below e was. It is false everywhere in a document that is whole. Keys that are known and wait for later,
// and unknown ones like no known one, count only where they are asked for by name.
func (e Entry) Faulty(keys ...string) bool {
	if e.n == nil {
		return false
	}
	if len(keys) == 0 {
		return e.n.faulty
	}
	return slices.ContainsFunc(keys, func(k string) bool {
		kid := e.n.kids[k]
		return slices.Contains(e.n.lost, k) || kid != nil && kid.faulty
	})
}

// Short reports whether the list e has items, or the map e of names has names, that could not be read at all.
func (e Entry) Short() bool { return e.n != nil && e.n.short }

// Mounted returns how many sensors the entry e of `sensors` stands for.
func (e Entry) Mounted() int {
	if count, ok := e.Get("count"); ok {
		return count.Int()
	}
	if e.Has("pair") {
		return 2
	}
	return 1
}

// List returns the items of the list e, or the values of the named entries of the map e, in file order.
func (e Entry) List() []Entry {
	if e.n == nil {
		return nil
	}
	var out []Entry
	for _, k := range e.n.keys {
		out = append(out, Entry{e.n.kids[k]})
	}
	for _, n := range e.n.items {
		out = append(out, Entry{n})
	}
	return out
}

// Written returns the value of e on one line, as it can stand between brackets in a layout: as the user wrote it where
// that is one line already. It is empty for a default.
func (e Entry) Written() string {
	if e.n == nil || e.n.assumed {
		return ""
	}
	return e.n.doc.text.oneLine(e.n.yaml, 0)
}

// Key returns the key e stands under: a key of the format, a name the user chose, or in a list the
// item's name where it has one and else its number from 1.
func (e Entry) Key() string {
	if e.n == nil {
		return ""
	}
	return e.n.step()
}

// Text returns a text, name, reference or chosen word as written, or the word written in place of a
// quantity, such as "none".
func (e Entry) Text() string {
	if e.n == nil {
		return ""
	}
	return e.n.text
}

// Word returns the word that follows a quantity, such as "outward" in "12 deg outward"; "" when none does.
func (e Entry) Word() string {
	if e.n == nil {
		return ""
	}
	return e.n.word
}

// Num returns a quantity or whole number, in the unit stated at its [quantity.Kind]. Of a span it is the lower end.
func (e Entry) Num() float64 {
	if e.n == nil {
		return 0
	}
	return e.n.lo
}

// Int returns a whole number.
func (e Entry) Int() int { return int(e.Num()) }

// Span returns both ends of a span, lo <= hi; of a single value both are that value.
func (e Entry) Span() (lo, hi float64) {
	if e.n == nil {
		return 0, 0
	}
	return e.n.lo, e.n.hi
}

// Row returns the quantities of a row such as [1 m, -20 mm].
func (e Entry) Row() []float64 {
	if e.n == nil {
		return nil
	}
	out := make([]float64, len(e.n.items))
	for i, it := range e.n.items {
		out[i] = it.lo
	}
	return out
}

// Form returns how the value is written: of a quantity its unit counts, of a whole number there is none.
func (e Entry) Form() Form {
	if e.n == nil {
		return Map
	}
	return e.n.form
}

// Unit returns what a quantity measures; it matters where the table accepts several.
func (e Entry) Unit() quantity.Kind {
	if e.n == nil {
		return 0
	}
	return e.n.unit
}

// Bool returns a true or false.
func (e Entry) Bool() bool { return e.n != nil && e.n.flag }

// Spread returns the plus-or-minus written beside a value, in the value's unit.
func (e Entry) Spread() (spread float64, ok bool) {
	if e.n == nil {
		return 0, false
	}
	return e.n.spread, e.n.spreads
}

// Source returns where the value is said to come from: the `source` of its own map, or of the nearest
// map round it that has one; "" when none says.
func (e Entry) Source() string {
	for n := e.n; n != nil; n = n.parent {
		if s, ok := n.kids[sourceKey]; ok {
			return s.text
		}
	}
	return ""
}

// File returns the name the document was parsed under.
func (e Entry) File() string {
	if e.n == nil {
		return ""
	}
	return e.n.doc.file
}

// Line and Col return the place of the value, counted from 1, columns in characters.
func (e Entry) Line() int {
	if e.n == nil {
		return 0
	}
	return e.n.line
}

// Col returns the column of the value.
func (e Entry) Col() int {
	if e.n == nil {
		return 0
	}
	return e.n.col
}

// Path returns the dotted place in the document, such as "sensors.bow.at.left": keys, and for items
// of a list their name where they have one that none before them has, and else their number from 1. One item without brackets is
// no step of its own.
func (e Entry) Path() string {
	var parts []string
	for n := e.n; n != nil && n.parent != nil; n = n.parent {
		if !n.lone {
			parts = append(parts, n.step())
		}
	}
	slices.Reverse(parts)
	return strings.Join(parts, ".")
}

// Errorf makes a message at the place of e; right says what would be right, wrong and args what is wrong.
func (e Entry) Errorf(right, wrong string, args ...any) diag.Diag {
	return diag.Diag{File: e.File(), Line: e.Line(), Col: e.Col(), Wrong: fmt.Sprintf(wrong, args...), Right: right}
}
