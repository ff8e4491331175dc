package layout

import (
	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// Document is a layout as written: the checked tree and the bytes it came from. It never changes.
type Document struct {
	file string
	data []byte
	spec *spec
	root *node
	text scanned
	top  *yaml.Node
	bad  bool // something in it was refused
	gaps []Gap
}

// Gap is a part that every layout has and this one does not have yet.
type Gap struct {
	Key  string    // body, sensors or zones
	Said diag.Diag // what Draft says of it
}

// Gaps returns what the document does not have yet, in the order of the format: no body at all, no sensor, no zone.
// It tells what is not written yet from what is written wrongly.
func (d *Document) Gaps() []Gap { return d.gaps }

// Root returns the map at the top.
func (d *Document) Root() Entry { return Entry{d.root} }

// File returns the name the document was parsed under.
func (d *Document) File() string { return d.file }

// Bytes returns the text of the document, byte for byte as it was parsed. The caller must not change it.
func (d *Document) Bytes() []byte { return d.data }

// Whole reports whether nothing in the document was refused; of a [Draft] it may be false.
func (d *Document) Whole() bool { return !d.bad }

// MaxSize is the size in bytes above which a file is refused unread. A caller need read no more than
// one byte beyond it.
const MaxSize = 1 << 20

// Parse reads a layout. Messages carry file as its name. The document is nil when any message is an error.
func Parse(file string, data []byte) (*Document, diag.List) { return parse(file, data, layoutSpec) }

// Draft is Parse for finding the rest of a file's faults: whatever it could read comes out beside the
// messages, so that what the tree says can be judged further. [Entry.Faulty] tells what cannot be relied
// on, and what was refused outright is not in the tree. The document is nil where the text is no YAML,
// no map, or out of the bounds on size and nesting.
func Draft(file string, data []byte) (*Document, diag.List) { return draft(file, data, layoutSpec) }

// ParseKinds reads a file of kinds of module and targets, as Parse reads a layout.
func ParseKinds(file string, data []byte) (*Document, diag.List) { return parse(file, data, kindsSpec) }
