package layout

import (
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// named are the lists and maps whose entries go by names, each with where they are spoken of.
var named = map[string][]string{
	"sensors":    {"wires.[].sensors", "wishes.refresh.*"},
	"zones":      nil,
	"body.parts": nil,
	"states":     {"zones.[].only-in", "body.parts.[].only-in"},
	"targets":    {"zones.[].target", "kinds.*.range.against", "kinds.*.beam.against"},
	"kinds":      {"sensors.[].kind", "kinds.*.like"},
}

// rename gives an entry another name wherever the document speaks of it.
func (e *editor) rename(ed Edit) error {
	at, rest := spotAt(e.top, e.spec, ed.Path)
	switch {
	case len(rest) > 0 || at.up == nil:
		return noPlace(ed.Path)
	case !canBeName(ed.Text):
		return fmt.Errorf("%q cannot be a name; letters, digits, blanks, - and _, beginning with a letter, at most 60 of them", ed.Text)
	}
	up := at.up
	refs, ok := named[up.tablePath()]
	if !ok {
		return fmt.Errorf("%s has no name to change", ed.Path)
	}
	was, own := e.ownName(at)
	if own == nil {
		return fmt.Errorf("%s has no name to change", ed.Path)
	}
	if was == ed.Text {
		return nil
	}
	for n := range size(up.in()) {
		if got, _ := e.ownName(up.kid(n)); got == ed.Text {
			return fmt.Errorf("there is a %q already", ed.Text)
		}
	}
	done := map[*yaml.Node]bool{}
	e.write(own, up, at, ed.Text, done)
	top := &spot{y: e.top, spec: e.spec}
	for _, pattern := range refs {
		for _, ref := range top.below(strings.Split(pattern, ".")) {
			if err := e.renameRef(ref, at, was, ed.Text, done); err != nil {
				return err
			}
		}
	}
	return nil
}

// tablePath returns the path of p by keys alone.
func (p *spot) tablePath() string {
	if p.spec == nil {
		return ""
	}
	return p.spec.Path
}

// ownName returns the name of an entry and the node that says it.
func (e *editor) ownName(at *spot) (string, *yaml.Node) {
	switch {
	case at.key != nil:
		return at.key.Value, at.key
	case at.in().Kind == yaml.ScalarNode:
		return at.in().Value, at.y
	}
	if v := at.step("name"); v != nil && v.in().Kind == yaml.ScalarNode {
		return v.in().Value, v.y
	}
	return "", nil
}

// write puts the new name where the entry itself says it.
func (e *editor) write(own *yaml.Node, up, at *spot, name string, done map[*yaml.Node]bool) {
	switch {
	case at.key != nil:
		e.mean(up, func(s *shape) { s.keys[at.n] = name })
	case at.in().Kind == yaml.ScalarNode:
		e.mean(at, func(s *shape) { s.text, s.tag = name, "!!str" })
	default:
		e.mean(at.step("name"), func(s *shape) { s.text, s.tag = name, "!!str" })
	}
	e.rewrite(own, name, done)
}

// rewrite puts a name in place of the one a node, or what it is an alias of, says; each once.
func (e *editor) rewrite(y *yaml.Node, name string, done map[*yaml.Node]bool) {
	y = followed(y)
	if !done[y] {
		done[y] = true
		e.splice(e.start(y), e.end(y, 0), asYAML(nil, name))
	}
}

// renameRef follows the new name at one place that may speak of the old one.
func (e *editor) renameRef(ref, at *spot, was, name string, done map[*yaml.Node]bool) error {
	y := ref.in()
	bySensor := ref.up != nil && ref.up.spec != nil && ref.up.spec.Form == BySensor
	if bySensor { // the name is the key
		y = ref.key
	}
	entry, which, one := strings.Cut(y.Value, ".")
	if y.Kind != yaml.ScalarNode {
		return nil
	}
	if at.up.tablePath() != "sensors" {
		entry, one = y.Value, false
	}
	if ref.key != nil && ref.key.Value == "like" && ref.up.n == at.n && was == entry {
		return nil // a kind that is like the built-in one of its own name
	}
	builtIn := at.up.tablePath() == "targets" || at.up.tablePath() == "kinds"
	switch {
	case entry == name && builtIn:
		return fmt.Errorf("line %d speaks of another %q already", y.Line, name)
	case entry != was:
		return nil
	case one:
		name += "." + which
	}
	if bySensor {
		e.mean(ref.up, func(s *shape) { s.keys[ref.n] = name })
		e.rewrite(ref.key, name, done)
		return nil
	}
	e.mean(ref, func(s *shape) { s.text, s.tag = name, "!!str" })
	e.rewrite(ref.y, name, done)
	return nil
}
