package layout

import (
	"strings"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// label names a place in a message: the key, with the number of the item inside a list.
func (n *node) label() string {
	switch {
	case n.parent == nil:
		return "the file"
	case n.parent.form == List || n.parent.form == Row || n.parent.form == Map && n.parent.spec.Form == Row:
		if n.lone {
			return n.parent.label()
		}
		return n.parent.label() + " " + n.key
	case n.key == "value":
		return n.parent.label()
	}
	return n.key
}

// step is the part of a path that leads to n from the place above it.
func (n *node) step() string {
	if n.parent == nil || n.parent.form != List || n.kids["name"] == nil {
		return n.key
	}
	name := n.kids["name"].text
	for _, it := range n.parent.items {
		if it == n {
			break
		}
		if other := it.kids["name"]; other != nil && other.text == name {
			return n.key
		}
	}
	return name
}

// under returns what a step of a path leads to, nil when it is not there.
func (n *node) under(step string) *node {
	if kid := n.kids[step]; kid != nil {
		return kid
	}
	for _, it := range n.items {
		if name := it.kids["name"]; it.key == step || name != nil && name.text == step {
			return it
		}
	}
	return nil
}

// lose marks the value under a key or name of n as one that cannot be relied on, and all round it as faulty.
func (n *node) lose(key string) {
	n.lost = append(n.lost, key)
	for up := n; up != nil; up = up.parent {
		up.faulty = true
	}
}

// described says in words what a YAML value is.
func described(y *yaml.Node) string {
	switch y.Kind {
	case yaml.MappingNode:
		return "a map"
	case yaml.SequenceNode:
		return "a list"
	}
	return diag.Quote(y.Value)
}

// wanted says in words what a single value should be.
func (s *spec) wanted() string {
	switch s.Form {
	case Text:
		return "text"
	case Name:
		return "a name"
	case Mounted:
		return "the name of a sensor"
	case Choice:
		return diag.Join(s.Words)
	case Whole:
		return "a whole number"
	case OfMany:
		return "so many of so many"
	case Address:
		return "an address"
	case Flag:
		return "true or false"
	case Span:
		return "a span"
	}
	return s.Units[0].Noun()
}

// example shows how a value is written.
func (n *node) example() string {
	key := n.spec.Key()
	if key == "" {
		return "such as " + n.spec.Good
	}
	return "write " + n.spec.sample(key)
}

// sample shows a key with a value.
func (s *spec) sample(key string) string {
	if s.Good == "" && len(s.Units) > 0 {
		return key + ": 1 " + s.Units[0].Units()[0]
	}
	return strings.TrimSpace(key + ": " + s.Good)
}

// fill makes the node a key's default stands for. The defaults of the table are held valid by a test.
func (n *node) fill(key string) *node {
	s := n.spec.kids[key]
	if s == nil || s.Default == "" {
		return nil
	}
	r := &reader{doc: n.doc}
	made := r.read(s.assume(), s, n, key, 0)
	if len(r.diags) > 0 {
		panic(s.Path + ": " + r.diags.Error())
	}
	made.place(n.line, n.col)
	return made
}

// place marks a made node and all below as standing at a place of the file.
func (n *node) place(line, col int) {
	n.line, n.col, n.assumed = line, col, true
	for _, kid := range n.kids {
		kid.place(line, col)
	}
	for _, it := range n.items {
		it.place(line, col)
	}
}
