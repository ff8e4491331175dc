package layout

import "echowright/planner/diag"

// Document is a layout as written: the checked tree and the bytes it came from. It never changes.
type Document struct {
	file string
	data []byte
	spec *spec
	root *node
}

// Root returns the map at the top.
func (d *Document) Root() Entry { return Entry{d.root} }

// File returns the name the document was parsed under.
func (d *Document) File() string { return d.file }

// Bytes returns the text of the document, byte for byte as it was parsed. The caller must not change it.
func (d *Document) Bytes() []byte { return d.data }

// MaxSize is the size in bytes above which a file is refused unread. A caller need read no more than
// one byte beyond it.
const MaxSize = 1 << 20

// Parse reads a layout. Messages carry file as its name. The document is nil when any message is an error.
func Parse(file string, data []byte) (*Document, diag.List) { return parse(file, data, layoutSpec) }

// ParseKinds reads a file of kinds of module and targets, as Parse reads a layout.
func ParseKinds(file string, data []byte) (*Document, diag.List) { return parse(file, data, kindsSpec) }
