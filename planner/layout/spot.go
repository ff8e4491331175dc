package layout

import (
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// spot is a value in the YAML tree with the way to it, whether or not the checks accept it.
type spot struct {
	up   *spot
	y    *yaml.Node // as written; an alias is not followed
	key  *yaml.Node // of a key's value
	n    int        // which key or item of up, from 0
	spec *spec      // nil where the table has none
	item bool       // one of what a rule with Many allows, so that spec is that of the list
}

// in returns the value itself.
func (p *spot) in() *yaml.Node { return followed(p.y) }

// way returns which keys and items lead to p.
func (p *spot) way() []int {
	if p.up == nil {
		return nil
	}
	return append(p.up.way(), p.n)
}

// kid returns the nth key's value or item below p.
func (p *spot) kid(n int) *spot {
	y := p.in()
	k := &spot{up: p, n: n, spec: p.spec}
	if y.Kind == yaml.MappingNode {
		k.key, k.y = y.Content[2*n], y.Content[2*n+1]
		if p.spec != nil {
			k.spec = p.spec.kids[k.key.Value]
			if p.spec.byName() {
				k.spec = p.spec.item
			}
		}
		return k
	}
	k.y = y.Content[n]
	switch {
	case p.spec == nil || p.spec.Form == Row:
	case p.spec.Many && !p.item:
		k.item = true
	default:
		k.spec = p.spec.item
	}
	return k
}

// size returns how many keys or items y has.
func size(y *yaml.Node) int {
	switch y.Kind {
	case yaml.MappingNode:
		return len(y.Content) / 2
	case yaml.SequenceNode:
		return len(y.Content)
	}
	return 0
}

// step follows one step of a path: a key, the name of an item or its number from 1.
func (p *spot) step(step string) *spot {
	y := p.in()
	for n := range size(y) {
		if y.Kind == yaml.MappingNode && y.Content[2*n].Value == step || y.Kind == yaml.SequenceNode && nameOf(y.Content[n]) == step {
			return p.kid(n)
		}
	}
	if n, err := strconv.Atoi(step); err == nil && y.Kind == yaml.SequenceNode && 1 <= n && n <= size(y) {
		return p.kid(n - 1)
	}
	if p.lone() && step == "1" {
		only := *p
		only.item = true
		return &only
	}
	return nil
}

// lone reports whether p stands alone where a list may stand.
func (p *spot) lone() bool {
	return p.spec != nil && p.spec.Many && !p.item && p.in().Kind != yaml.SequenceNode
}

// isList reports whether p is a list, or stands where one is due.
func (p *spot) isList() bool {
	return p.spec != nil && (p.spec.Form == List || p.spec.Many && !p.item) || p.spec == nil && p.in().Kind == yaml.SequenceNode
}

// nameOf returns the name an item of a list goes by, "" when it has none. An item that is a name goes by itself.
func nameOf(item *yaml.Node) string {
	item = followed(item)
	if item.Kind == yaml.ScalarNode && canBeName(item.Value) {
		return item.Value
	}
	if item.Kind != yaml.MappingNode {
		return ""
	}
	if v := mapped(item, "name"); v != nil && followed(v).Kind == yaml.ScalarNode {
		return followed(v).Value
	}
	return ""
}

// mapped returns what a map has under a key.
func mapped(y *yaml.Node, key string) *yaml.Node {
	for i := 0; i+1 < len(y.Content); i += 2 {
		if y.Content[i].Value == key {
			return y.Content[i+1]
		}
	}
	return nil
}

// spotAt follows a path as far as it leads and returns what is left of it.
func spotAt(top *yaml.Node, s *spec, path string) (at *spot, rest []string) {
	at = &spot{y: top, spec: s}
	rest = strings.Split(path, ".")
	for len(rest) > 0 {
		if at.spec != nil && at.spec.Form == BySensor && len(rest) > 1 { // "bow.1" is one name
			rest = []string{rest[0] + "." + rest[1]}
		}
		next := at.step(rest[0])
		if next == nil && at.lone() {
			return at, rest
		}
		if next == nil {
			break
		}
		at, rest = next, rest[1:]
	}
	return at, rest
}

// below collects the values at a pattern of the table below p: * is any name, [] any item.
func (p *spot) below(pattern []string) (found []*spot) {
	if len(pattern) == 0 {
		if p.spec == nil || !p.spec.Many || p.item || p.in().Kind != yaml.SequenceNode {
			return []*spot{p}
		}
		pattern = []string{"[]"}
	}
	y := p.in()
	if p.spec != nil && p.spec.Many && !p.item && y.Kind == yaml.SequenceNode && pattern[0] != "[]" {
		pattern = slices.Concat([]string{"[]"}, pattern)
	}
	for n := range size(y) {
		k := p.kid(n)
		if pattern[0] == "*" || pattern[0] == "[]" && y.Kind == yaml.SequenceNode || k.key != nil && k.key.Value == pattern[0] {
			found = append(found, k.below(pattern[1:])...)
		}
	}
	return found
}
