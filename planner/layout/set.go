package layout

import (
	"bytes"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Set returns the document with one value changed: the value at a path as [Entry.Path] gives it is
// replaced by text, and every other byte (comments, order, blank lines, line ends) stays. Text that
// begins with a bracket is written as it is; any other is put in quotes where YAML needs it. Of a
// value written as {value, spread, source} only the value is replaced. A key not yet there is added
// at the end of its map.
//
// The outcome is parsed again. Set returns an error, and no document, when there is no such place,
// when the value stands on several lines by indentation, when the text is not accepted there (the
// error then is the [diag.List]), or when an alias would carry the change elsewhere.
func (d *Document) Set(path, text string) (*Document, error) {
	s, bad := scan(d.data)
	if bad != nil {
		return nil, *bad
	}
	c, err := (&editor{scanned: s, doc: d}).edit(path, text)
	if err != nil {
		return nil, err
	}
	data := slices.Concat(d.data[:s.skip+c.from], []byte(c.text), d.data[s.skip+c.to:])
	changed, list := parse(d.file, data, d.spec)
	if list.HasErrors() {
		return nil, list
	}
	if _, rest := changed.root.walk(strings.Split(path, ".")); len(rest) > 0 && c.from == c.to {
		return nil, fmt.Errorf("%s cannot be added there; change it in a text editor", path)
	}
	if other := differs(d.root, changed.root, c.under); other != "" {
		return nil, fmt.Errorf("setting %s would also change %s", path, other)
	}
	return changed, nil
}

// change is a range of text to replace, what by, and the place under which values may change by it.
type change struct {
	from, to int
	text     string
	under    string
}

// editor finds places in the text of a document.
type editor struct {
	scanned
	doc *Document
}

// edit finds what to replace.
func (e *editor) edit(path, text string) (change, error) {
	n, rest := e.doc.root.walk(strings.Split(path, "."))
	if len(rest) > 0 {
		return e.insert(n, path, rest, text)
	}
	if n == e.doc.root {
		return change{}, fmt.Errorf("a document cannot be set as a whole")
	}
	c := change{under: n.address()}
	if v := n.kids["value"]; v != nil && n.spec.Sourced && !isFlow(text) {
		n = v
	}
	end, err := e.end(n.yaml)
	c.from, c.to, c.text = e.start(n.yaml), end, asYAML(n.spec, text)
	return c, err
}

func isFlow(text string) bool { return strings.HasPrefix(text, "[") || strings.HasPrefix(text, "{") }

// walk follows steps as far as they lead and returns what is left of them.
func (n *node) walk(steps []string) (*node, []string) {
	for len(steps) > 0 {
		next := n.kids[steps[0]]
		for _, it := range n.items {
			if next == nil && (it.step() == steps[0] || it.key == steps[0]) {
				next = it
			}
		}
		if next == nil && len(n.items) == 1 && n.items[0].lone {
			n = n.items[0]
			continue
		}
		if next == nil {
			return n, steps
		}
		n, steps = next, steps[1:]
	}
	if len(n.items) == 1 && n.items[0].lone {
		n = n.items[0]
	}
	return n, nil
}

// insert adds a key that is not there yet, and the maps round it.
func (e *editor) insert(n *node, path string, rest []string, text string) (change, error) {
	s := n.spec.at(rest)
	if n.yaml.Kind != yaml.MappingNode || s == nil {
		return change{}, fmt.Errorf("there is no place %s in the document", path)
	}
	c := change{text: asYAML(s, text), under: n.address() + "." + rest[0]}
	for i := len(rest) - 1; i > 0; i-- {
		c.text = "{" + rest[i] + ": " + c.text + "}"
	}
	c.text = rest[0] + ": " + c.text
	if n.yaml.Style&yaml.FlowStyle != 0 {
		return e.insertFlow(n.yaml, c)
	}
	last, err := e.lastEnd(n.yaml)
	if err != nil {
		return change{}, err
	}
	for last < len(e.text) && e.text[last] != '\n' && e.text[last] != '\r' {
		last++
	}
	c.from, c.to = last, last
	c.text = e.lineBreak() + strings.Repeat(" ", n.yaml.Content[0].Column-1) + c.text
	return c, nil
}

// insertFlow adds a key behind the last value of a map in brackets.
func (e *editor) insertFlow(y *yaml.Node, c change) (change, error) {
	if len(y.Content) == 0 {
		c.from = e.start(y) + len("{")
		c.to = c.from
		return c, nil
	}
	end, err := e.end(y.Content[len(y.Content)-1])
	c.from, c.to, c.text = end, end, ", "+c.text
	return c, err
}

// at returns the spec that steps lead to below s, nil when they lead nowhere in the table.
func (s *spec) at(steps []string) *spec {
	for _, step := range steps {
		next := s.kids[step]
		if next == nil && s.Form == Named {
			next = s.item
		}
		if next == nil {
			return nil
		}
		s = next
	}
	return s
}

// lineBreak returns the line break the file uses.
func (e *editor) lineBreak() string {
	if bytes.Contains(e.text, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// start returns where a value begins, behind its anchor if it has one.
func (e *editor) start(y *yaml.Node) int {
	at := e.offset(y.Line, y.Column)
	if y.Anchor != "" && at < len(e.text) && e.text[at] == '&' {
		for at < len(e.text) && !bytes.ContainsRune([]byte(" \t\r\n"), rune(e.text[at])) {
			at++
		}
		for at < len(e.text) && bytes.ContainsRune([]byte(" \t\r\n"), rune(e.text[at])) {
			at++
		}
	}
	return at
}

// end returns where a value ends.
func (e *editor) end(y *yaml.Node) (int, error) {
	from := e.start(y)
	switch {
	case y.Kind == yaml.AliasNode:
		return from + len("*") + len(y.Value), nil
	case y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return 0, fmt.Errorf("the value at line %d is written over several lines; change it in a text editor", y.Line)
	case y.Kind == yaml.ScalarNode && y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		end, _ := closingQuote(e.text, from)
		return end + 1, nil
	case y.Kind == yaml.ScalarNode:
		return e.plainEnd(from, y.Value), nil
	case y.Style&yaml.FlowStyle != 0:
		return e.flowEnd(from), nil
	}
	return 0, fmt.Errorf("the value at line %d is written over several lines; change it in a text editor", y.Line)
}

// lastEnd returns where the last value within y ends.
func (e *editor) lastEnd(y *yaml.Node) (int, error) {
	if (y.Kind == yaml.MappingNode || y.Kind == yaml.SequenceNode) && y.Style&yaml.FlowStyle == 0 && len(y.Content) > 0 {
		return e.lastEnd(y.Content[len(y.Content)-1])
	}
	return e.end(y)
}

// plainEnd follows an unquoted value, whose line breaks read as blanks.
func (e *editor) plainEnd(at int, value string) int {
	for i := 0; i < len(value); {
		c := value[i]
		if c == ' ' || c == '\n' || c == '\t' {
			i++
			continue
		}
		for at < len(e.text) && e.text[at] != c {
			at++
		}
		at++
		i++
	}
	return min(at, len(e.text))
}

// flowEnd returns the index behind the bracket that closes the one at i.
func (e *editor) flowEnd(i int) int {
	depth := 0
	begins := true
	for ; i < len(e.text); i++ {
		c := e.text[i]
		switch {
		case c == ' ' || c == '\t' || c == '\r' || c == '\n':
		case c == '#' && bytes.ContainsRune([]byte(" \t\n"), rune(e.text[i-1])):
			for i+1 < len(e.text) && e.text[i+1] != '\n' {
				i++
			}
		case (c == '"' || c == '\'') && begins:
			i, _ = closingQuote(e.text, i)
			begins = false
		case c == '[' || c == '{':
			depth++
			begins = true
		case c == ']' || c == '}':
			depth--
			begins = false
			if depth == 0 {
				return i + 1
			}
		default:
			begins = c == ',' || c == ':'
		}
	}
	return i
}

// plainText is what may stand without quotes anywhere, in brackets too.
var plainText = regexp.MustCompile(`^[\pL\pN.+-][\pL\pN ._+%/²³°µ-]*$`)

// asYAML writes a value as YAML on one line.
func asYAML(s *spec, text string) string {
	if isFlow(text) {
		return text
	}
	plain := plainText.MatchString(text) && !strings.HasPrefix(text, "- ") && text != "-" && strings.TrimSpace(text) == text
	if plain && (s.Form == Text || s.Form == Name || s.Form == Mounted) {
		var y yaml.Node
		plain = yaml.Unmarshal([]byte(text), &y) == nil && len(y.Content) == 1 && y.Content[0].Kind == yaml.ScalarNode && readAs(y.Content[0]) == ""
	}
	if plain {
		return text
	}
	return strconv.Quote(text)
}

// address is the place of n by keys and numbers alone, so that it stays when a name changes.
func (n *node) address() string {
	if n.parent == nil {
		return ""
	}
	if n.lone {
		return n.parent.address()
	}
	return n.parent.address() + "." + n.key
}

// differs returns the place of the first value that is not the same in both trees, other than those
// at or below the place under.
func differs(a, b *node, under string) string {
	was, is := map[string]string{}, map[string]string{}
	a.flatten(was, under)
	b.flatten(is, under)
	changed := ""
	note := func(place string) {
		if changed == "" || place < changed {
			changed = place
		}
	}
	for place, v := range was {
		if is[place] != v {
			note(place)
		}
	}
	for place := range is {
		if _, ok := was[place]; !ok {
			note(place)
		}
	}
	return strings.TrimPrefix(changed, ".")
}

// flatten collects the values below n by place, but for those at or below the place under.
func (n *node) flatten(into map[string]string, under string) {
	place := n.address()
	if place == under {
		return
	}
	for _, k := range n.keys {
		n.kids[k].flatten(into, under)
	}
	for _, it := range n.items {
		it.flatten(into, under)
	}
	if len(n.kids)+len(n.items) == 0 {
		into[place] = fmt.Sprint(n.text, n.word, n.lo, n.hi, n.unit, n.flag)
	}
}
