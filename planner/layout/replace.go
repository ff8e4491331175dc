package layout

import (
	"errors"
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

func noPlace(path string) error { return fmt.Errorf("there is no place %s in the document", path) }

// set replaces a value, or adds a key.
func (e *editor) set(ed Edit) error {
	at, rest := spotAt(e.top, e.spec, ed.Path)
	switch {
	case at.up == nil && len(rest) == 0:
		return errors.New("a document cannot be set as a whole")
	case len(rest) == 0:
		return e.replace(at, ed.Text)
	}
	s := at.spec.at(rest)
	if s == nil || at.isList() && !at.lone() {
		return noPlace(ed.Path)
	}
	text, err := written(s, ed.Text)
	if err != nil {
		return err
	}
	for i := len(rest) - 1; i > 0; i-- {
		text = "{" + rest[i] + ": " + text + "}"
	}
	switch y := at.in(); {
	case y.Kind == yaml.MappingNode:
		return e.insertKey(at, rest[0], text, "")
	case isNull(y):
		return e.replace(at, "{"+rest[0]+": "+text+"}")
	case y.Kind == yaml.ScalarNode && at.spec.Sourced:
		return e.replace(at, "{value: "+e.oneLine(y, 0)+", "+rest[0]+": "+text+"}")
	}
	return noPlace(ed.Path)
}

// replace writes text in place of a value.
func (e *editor) replace(at *spot, text string) error {
	if at.spec != nil && at.spec.Sourced && at.in().Kind == yaml.MappingNode && !isFlow(text) {
		v := at.step("value")
		if v == nil {
			text, err := written(at.spec, text)
			if err != nil {
				return err
			}
			return e.insertKey(at, "value", text, "")
		}
		at = v
	}
	text, err := written(at.spec, text)
	if err != nil {
		return err
	}
	e.mean(at, (*shape).put)
	return e.overwrite(at, text)
}

// overwrite puts text, ready as YAML, in place of a value.
func (e *editor) overwrite(at *spot, text string) error {
	from := e.start(at.y)
	to := e.end(at.y, e.indentAbove(at))
	head, err := e.head(at)
	switch {
	case err != nil:
		return err
	case isNull(at.y) && at.y.Value == "":
		if from == 0 || !isSpace(e.text[from-1]) {
			text = " " + text
		}
		e.splice(from, from, text)
	case !isBlock(at.y) || e.lineStart(from) == e.lineStart(head):
		e.splice(from, to, text)
	default: // the value stands on lines of its own below
		e.splice(head, head, " "+text)
		e.cutLines(e.lineStart(from), e.extent(to, e.indentAbove(at)))
	}
	return nil
}

// indentAbove returns the indentation of the map or list that p belongs to.
func (e *editor) indentAbove(p *spot) int {
	if p.up == nil || !isBlock(p.up.in()) {
		return 0
	}
	return e.indentOf(p.up.in())
}

// head returns where what leads to a value ends: its colon or dash, or its anchor.
func (e *editor) head(p *spot) (int, error) {
	if at := e.props(p.y); at != e.begin(p.y) {
		return at, nil
	}
	if p.key != nil {
		return e.colon(p.key)
	}
	if !isBlock(p.up.in()) {
		return e.begin(p.y), nil
	}
	at, ok := e.dash(p.y)
	if !ok {
		return 0, fmt.Errorf("the item at line %d has no dash before it; change it in a text editor", p.y.Line)
	}
	return at + 1, nil
}

// cutLines takes whole lines out, from the start of one to the end of another without its break; at the end of the text
// the break before them goes, where the last of them has none.
func (e *editor) cutLines(from, end int) {
	next := e.pastBreak(end)
	if next == end && from > 0 {
		from = e.beforeBreak(from)
	}
	e.splice(from, next, "")
}

// written makes text ready as YAML on one line for a place of the table.
func written(s *spec, text string) (string, error) {
	if !isFlow(text) {
		return asYAML(s, text), nil
	}
	if !strings.ContainsAny(text, "\r\n#") {
		return text, nil
	}
	sc, bad := scan([]byte(text))
	var top *yaml.Node
	if bad == nil {
		top, bad = sc.parseYAML()
	}
	if bad != nil {
		return "", fmt.Errorf("this cannot be written there: %w", *bad)
	}
	return sc.oneLine(top, 0), nil
}
