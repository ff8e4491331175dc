package layout

import (
	"fmt"
	"strconv"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// maxUnfolded bounds the values of a document once its aliases are written out.
const maxUnfolded = 200_000

// reader walks the YAML tree along the table and collects every fault on the way.
type reader struct {
	doc      *Document
	diags    diag.List
	refused  int // faults that leave a value unread
	unfolded int
	stopped  bool
}

// parse is Parse for either kind of file.
func parse(file string, data []byte, root *spec) (*Document, diag.List) {
	doc, list := draft(file, data, root)
	if list.HasErrors() {
		return nil, list
	}
	return doc, list
}

// draft is Draft for either kind of file.
func draft(file string, data []byte, root *spec) (*Document, diag.List) {
	s, bad := scan(data)
	var top *yaml.Node
	if bad == nil {
		top, bad = s.parseYAML()
	}
	if bad != nil {
		bad.File = file
		return nil, diag.List{*bad}
	}
	return readTree(file, data, root, s, top)
}

// readTree is draft of a text that was parsed.
func readTree(file string, data []byte, root *spec, s scanned, top *yaml.Node) (*Document, diag.List) {
	r := &reader{doc: &Document{file: file, data: data, spec: root, text: s, top: top}}
	r.doc.root = r.read(top, root, nil, "", 0)
	if !r.stopped && r.doc.root != nil {
		r.checkWhole()
	}
	if r.stopped {
		r.diags = r.diags[:1]
	}
	list := shortened(r.diags.Sort())
	if r.stopped || r.doc.root == nil {
		return nil, list
	}
	r.doc.bad = list.HasErrors()
	r.doc.findGaps(list)
	return r.doc, list
}

// mostMessages bounds what is said of one file; whoever mends five hundred faults may ask again.
const mostMessages = 500

// shortened keeps the first messages and says how many more there are, at the place of the next.
func shortened(list diag.List) diag.List {
	if len(list) <= mostMessages {
		return list
	}
	next := list[mostMessages]
	next.Wrong = fmt.Sprintf("%d more faults from here on", len(list)-mostMessages)
	next.Right = "mend the ones above first"
	return append(list[:mostMessages:mostMessages], next)
}

// fault adds a message at the place of a YAML node, whose value is then not read.
func (r *reader) fault(y *yaml.Node, right, wrong string, args ...any) {
	r.refused++
	r.extra(y, right, wrong, args...)
}

// extra adds a message about something that nothing else depends on.
func (r *reader) extra(y *yaml.Node, right, wrong string, args ...any) {
	r.diags = append(r.diags, diag.Diag{File: r.doc.file, Line: y.Line, Col: y.Column, Wrong: fmt.Sprintf(wrong, args...), Right: right})
}

// follow returns what an alias stands for, and false when the walk must not go on.
func (r *reader) follow(y *yaml.Node, depth int) (*yaml.Node, bool) {
	if r.stopped {
		return nil, false
	}
	r.unfolded++
	switch {
	case r.unfolded > maxUnfolded:
		r.diags = nil
		r.fault(y, "write out less by aliases", "the aliases unfold to more than %d values", maxUnfolded)
		r.stopped = true
		return nil, false
	case depth > maxNest:
		r.fault(y, fmt.Sprintf("no more than %d within each other", maxNest), "values are nested too deeply")
		return nil, false
	case y.Kind == yaml.AliasNode:
		return r.follow(y.Alias, depth+1)
	case y.Style&yaml.TaggedStyle != 0:
		r.fault(y, "take the tag out", "a tag %s stands before the value", diag.Quote(y.Tag))
		return nil, false
	}
	return y, true
}

// read checks the value y against s. It returns nil where nothing usable is written.
func (r *reader) read(y *yaml.Node, s *spec, parent *node, key string, depth int) *node {
	written := y
	y, ok := r.follow(y, depth)
	if !ok {
		return nil
	}
	for up := parent; up != nil && written.Kind == yaml.AliasNode; up = up.parent {
		if up.yaml == y {
			r.fault(written, "an alias can only name something before it", "*%s stands within what it names", written.Value)
			return nil
		}
	}
	n := &node{spec: s, doc: r.doc, parent: parent, key: key, line: y.Line, col: y.Column, form: s.Form, yaml: y}
	switch {
	case isNull(y):
		r.fault(y, "write one, or take it out", "%s has no value", n.label())
		return nil
	case s.Many:
		return r.readMany(y, s, n, depth)
	}
	return r.readOne(y, n, depth)
}

// withheld answers a known key that must not be there yet, or has nothing after its colon.
func (r *reader) withheld(p pair, s *spec) bool {
	switch {
	case s.Later != "" && s.LaterWords == nil && s.LaterWithin == "":
		r.extra(p.key, "leave it out for now", "%s: this key is known, but %s", p.key.Value, s.Later)
	case isNull(p.value):
		r.fault(p.key, "write "+s.sample(p.key.Value)+", or leave the key out where it is unknown", "%s has no value", p.key.Value)
	default:
		return false
	}
	return true
}

// readOne reads a value by its form.
func (r *reader) readOne(y *yaml.Node, n *node, depth int) *node {
	before := r.refused
	if !r.readForm(y, n, depth) {
		return nil
	}
	n.faulty = n.faulty || r.refused > before
	return n
}

func (r *reader) readForm(y *yaml.Node, n *node, depth int) bool {
	switch s := n.spec; {
	case s.Sourced && y.Kind == yaml.MappingNode:
		return r.readSourced(y, n, depth)
	case s.Form == Map:
		return r.readMap(y, n, depth)
	case s.byName():
		return r.readNamed(y, n, depth)
	case s.Form == List:
		return r.readList(y, n, depth)
	case s.Form == Row:
		return r.readRow(y, n, depth)
	}
	return r.readScalar(y, n)
}

// readMany reads one value or a list of them, as a list.
func (r *reader) readMany(y *yaml.Node, s *spec, n *node, depth int) *node {
	items := []*yaml.Node{y}
	if y.Kind == yaml.SequenceNode {
		items = y.Content
	}
	if len(items) == 0 {
		r.fault(y, "write at least one, or leave the key out", "%s is an empty list", n.label())
		return nil
	}
	n.form = List
	before := r.refused
	for i, item := range items {
		target, ok := r.follow(item, depth+1)
		if !ok {
			continue
		}
		it := &node{spec: s, doc: r.doc, parent: n, key: strconv.Itoa(i + 1), line: target.Line, col: target.Column, form: s.Form, yaml: target}
		if len(items) == 1 && y.Kind != yaml.SequenceNode {
			it.lone = true
		}
		if it = r.readOne(target, it, depth+1); it != nil {
			n.items = append(n.items, it)
		}
	}
	n.faulty = r.refused > before
	return n
}

// readSourced reads a value written as {value, spread, source}.
func (r *reader) readSourced(y *yaml.Node, n *node, depth int) bool {
	if !r.readMap(y, n, depth) {
		return false
	}
	v := n.kids["value"]
	if v == nil {
		return false
	}
	n.text, n.word, n.lo, n.hi, n.unit = v.text, v.word, v.lo, v.hi, v.unit
	if sp := n.kids["spread"]; sp != nil {
		n.spread, n.spreads = sp.lo, true
	}
	return true
}

// readMap reads a map with the keys of n.spec.
func (r *reader) readMap(y *yaml.Node, n *node, depth int) bool {
	if y.Kind != yaml.MappingNode {
		r.fault(y, n.example(), "%s is %s where a map of keys is due", n.label(), described(y))
		return false
	}
	written := r.pairs(y, n)
	if n.parent == nil && r.isOther(y, n, written) {
		return false
	}
	n.kids = make(map[string]*node, len(written))
	b := beside{given: map[string]*yaml.Node{}, meant: map[string]bool{}}
	for _, p := range written {
		key := p.key.Value
		s, known := n.spec.kids[key]
		if !known {
			b.meant[r.unknownKey(p.key, n)] = true
			continue
		}
		b.given[key] = p.key
		if r.withheld(p, s) {
			n.lost = append(n.lost, key)
			continue
		}
		r.keep(n, key, r.read(p.value, s, n, key, depth+1))
	}
	for key := range b.meant {
		if key != "" && b.given[key] == nil {
			n.lost = append(n.lost, key)
		}
	}
	r.checkKeys(y, n, b)
	return true
}

// keep puts what was read under a key or name into n, or its name among those lost.
func (r *reader) keep(n *node, key string, kid *node) {
	if kid == nil {
		n.lost = append(n.lost, key)
		return
	}
	n.keys = append(n.keys, key)
	n.kids[key] = kid
}

// readNamed reads a map of names of the user's own, or of those of sensors.
func (r *reader) readNamed(y *yaml.Node, n *node, depth int) bool {
	if y.Kind != yaml.MappingNode {
		each := "names with a map each"
		if n.spec.Form == BySensor {
			each = "names of sensors with a value each"
		}
		r.fault(y, n.example(), "%s is %s where %s are due", n.label(), described(y), each)
		return false
	}
	if r.tooMany(y, n, len(y.Content)/2) {
		return false
	}
	n.kids = map[string]*node{}
	for _, p := range r.pairs(y, n) {
		key := p.key.Value
		isName := r.isName
		if n.spec.Form == BySensor {
			isName = r.isMounted
		}
		if !isName(p.key, "a name in "+n.label()) {
			n.short = true
			continue
		}
		r.keep(n, key, r.read(p.value, n.spec.item, n, key, depth+1))
	}
	return true
}

// readList reads a list of the items of n.spec.
func (r *reader) readList(y *yaml.Node, n *node, depth int) bool {
	if y.Kind != yaml.SequenceNode {
		r.fault(y, n.example(), "%s is %s where a list is due", n.label(), described(y))
		return false
	}
	if len(y.Content) < n.spec.Least {
		r.fault(y, fmt.Sprintf("write at least %d", n.spec.Least), "%s has %s", n.label(), counted(len(y.Content), "item"))
		return false
	}
	if r.tooMany(y, n, len(y.Content)) {
		return false
	}
	for i, item := range y.Content {
		if it := r.read(item, n.spec.item, n, strconv.Itoa(i+1), depth+1); it != nil {
			n.items = append(n.items, it)
		} else {
			n.short = true
		}
	}
	return true
}

// tooMany refuses more items or names than the table allows.
func (r *reader) tooMany(y *yaml.Node, n *node, count int) bool {
	if n.spec.Most == 0 || count <= n.spec.Most {
		return false
	}
	r.fault(y, fmt.Sprintf("no more than %d", n.spec.Most), "%s has %d entries", n.label(), count)
	return true
}

// readRow reads a list of quantities.
func (r *reader) readRow(y *yaml.Node, n *node, depth int) bool {
	want := len(n.spec.Units)
	if y.Kind != yaml.SequenceNode {
		r.fault(y, n.example(), "%s is %s where a list of %d values is due", n.label(), described(y), want)
		return false
	}
	if len(y.Content) != want {
		r.fault(y, n.example(), "%s has %s where %d are due", n.label(), counted(len(y.Content), "value"), want)
		return false
	}
	good := true
	for i, item := range y.Content {
		target, ok := r.follow(item, depth+1)
		if !ok {
			good = false
			continue
		}
		it := &node{spec: n.spec, doc: r.doc, parent: n, key: strconv.Itoa(i + 1), line: target.Line, col: target.Column, form: Quantity, yaml: target}
		good = r.readQuantity(target, it, n.spec.Units[i:i+1]) && good
		n.items = append(n.items, it)
	}
	return good
}

// counted writes a number of things: "1 item", "2 items".
func counted(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%d %s", n, thing)
}
