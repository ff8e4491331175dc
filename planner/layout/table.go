package layout

import (
	"strings"

	"echowright/planner/quantity"
)

// Form is how a value is written.
type Form int

// The forms.
const (
	Map      Form = iota // the keys listed below it
	Named                // names of the user's own, each with the map listed below it
	BySensor             // names of sensors or of their entries, each with the value listed below it
	List                 // a list of the items listed below it
	Text                 // free text
	Name                 // a name or a reference to one
	Choice               // one of Words
	Whole                // a whole number without unit
	Flag                 // true or false
	Quantity             // a number with a unit
	Span                 // two numbers with a unit, "5..35 degC"; or one number where Single
	Row                  // a list of quantities, one for each of Units
	OfMany               // so many of so many, "2 of 3"; [Entry.Span] gives the two
	Mounted              // the name of an entry of sensors, or of one of its sensors such as "bow.1"
	Address              // an address of seven bits on a bus, 0x30
)

// Rule states one key of the format.
type Rule struct {
	Path  string // keys joined by dots; * is any name, [] any item of the list before it
	Form  Form
	Units []quantity.Kind // what a quantity may measure, one of them; of a Row one for each column
	// Within bounds quantities and numbers without unit, as a span in the first unit; empty: the bounds of the unit's kind.
	Within string
	Words  []string // of a Choice; of a Quantity: what may follow it
	Must   bool     // one of Words must follow the quantity
	// Instead lists words accepted in place of a quantity or span.
	Instead []string
	Single  bool // a Span may be one value
	Sourced bool // the value may be a map {value, spread, source}, with the keys listed below it besides
	Many    bool // there may be one value or a list of them; [Entry.List] gives the items either way
	Least   int  // fewest items of a List
	Most    int  // most items of a List, or names of a Named or BySensor; 0: any number
	// Need is true for a key that must be there (where When allows it).
	Need bool
	// When allows the key only beside a sibling with one of some values: "shape: post, sphere". Empty: always.
	When string
	// OneOf lists sets of keys of a Map of which exactly one must be there.
	OneOf []Alternatives
	// Default is the value taken when the key is not there, as it would be written.
	Default string
	Doc     string // a sentence on its meaning
	Good    string // one example that is accepted
	Bad     string // one that is refused
	// Later is set for what is known but not worked out yet: why it is refused. With LaterWords or
	// LaterWithin it concerns only those values.
	Later       string
	LaterWords  []string
	LaterWithin string
}

// Alternatives are keys of which exactly one must be there, or at most one.
type Alternatives struct {
	Keys   []string
	AtMost bool
}

// Key returns the last key of the rule's path, "" for items and names.
func (r Rule) Key() string {
	last := r.Path[strings.LastIndexByte(r.Path, '.')+1:]
	if last == "*" || strings.HasSuffix(last, "[]") {
		return ""
	}
	return last
}

const sourceKey = "source"
