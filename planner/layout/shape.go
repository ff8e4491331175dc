package layout

import (
	"slices"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// shape is what a text says, whatever the table thinks of it: maps, lists and single values. A change states the shape
// it means to reach, and the text it made is held against that.
type shape struct {
	kind      yaml.Kind // 0: anything at all
	text, tag string
	keys      []string
	kids      []*shape
}

// anything stands for a value that a change put in.
var anything = &shape{}

// shapeOf makes the shape of y. What aliases name is shared.
func shapeOf(y *yaml.Node, known map[*yaml.Node]*shape) *shape {
	y = followed(y)
	if s := known[y]; s != nil {
		return s
	}
	s := &shape{kind: y.Kind}
	known[y] = s
	if y.Kind == yaml.ScalarNode {
		s.text, s.tag = y.Value, y.Tag
	}
	for n := range size(y) {
		if y.Kind == yaml.MappingNode {
			s.keys = append(s.keys, y.Content[2*n].Value)
			s.kids = append(s.kids, shapeOf(y.Content[2*n+1], known))
			continue
		}
		s.kids = append(s.kids, shapeOf(y.Content[n], known))
	}
	return s
}

// changed returns the shape with the one at the end of a way changed by f; the rest is shared, not copied.
func (s *shape) changed(way []int, f func(s *shape)) *shape {
	if s.kind == 0 {
		return s
	}
	c := *s
	c.keys, c.kids = slices.Clone(s.keys), slices.Clone(s.kids)
	switch {
	case len(way) == 0:
		f(&c)
	case way[0] < len(c.kids):
		c.kids[way[0]] = c.kids[way[0]].changed(way[1:], f)
	}
	return &c
}

// put makes s anything at all.
func (s *shape) put() { *s = *anything }

// grow puts anything at all before the nth key or item.
func (s *shape) grow(n int, key string) {
	if s.kind == yaml.MappingNode {
		s.keys = slices.Insert(s.keys, n, key)
	}
	s.kids = slices.Insert(s.kids, n, anything)
}

// shrink takes the nth key or item out.
func (s *shape) shrink(n int) {
	if s.kind == yaml.MappingNode {
		s.keys = slices.Delete(s.keys, n, n+1)
	}
	s.kids = slices.Delete(s.kids, n, n+1)
}

// differs returns the first place at which s is not as wanted, "" when there is none. Work is bounded, since aliases may unfold without end;
// it then names the place it came to.
func (s *shape) differs(want *shape, work *int) (place []string, yes bool) {
	if want.kind == 0 || s == want {
		return nil, false
	}
	if *work--; *work < 0 || s.kind != want.kind || s.text != want.text || s.tag != want.tag {
		return nil, true
	}
	for n := range min(len(s.kids), len(want.kids)) {
		step := strconv.Itoa(n + 1)
		if s.keys != nil && want.keys != nil {
			if step = want.keys[n]; s.keys[n] != step {
				return []string{s.keys[n]}, true
			}
		}
		if place, yes = s.kids[n].differs(want.kids[n], work); yes {
			return append([]string{step}, place...), true
		}
	}
	return nil, len(s.kids) != len(want.kids)
}

// other returns the place at which the tree is not as wanted, "" when it is. Of nodes that are known the shapes are taken
// from there.
func (s *shape) other(top *yaml.Node, known map[*yaml.Node]*shape) string {
	work := maxUnfolded
	place, yes := shapeOf(top, known).differs(s, &work)
	switch {
	case !yes:
		return ""
	case len(place) == 0:
		return "the whole file"
	}
	return strings.Join(place, ".")
}
