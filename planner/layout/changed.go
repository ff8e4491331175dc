package layout

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"sort"
	"strings"

	"gopkg.in/yaml.v3"
)

// patched is the tree of a text that came of d's by splices, each within one item of a block list at the top, such as
// sensors; only those items are parsed. It is nil where the rest might then say something else, or lie on other lines. A
// hand that drags asks for a tree at every step. Nodes outside the items are those of d.
func (d *Document) patched(text scanned, splices []splice) *yaml.Node {
	if len(splices) == 0 || len(text.lines) != len(d.text.lines) || isFlowed(d.top, yaml.MappingNode) {
		return nil
	}
	top := *d.top
	top.Content = slices.Clone(top.Content)
	done := map[*yaml.Node]bool{}
	for _, sp := range splices {
		from := d.text.line(sp.from)
		if from != d.text.line(sp.to) || strings.ContainsAny(sp.text, "\r\n") {
			return nil
		}
		key := lastFrom(len(top.Content)/2, from, func(i int) int { return d.top.Content[2*i].Line })
		if key < 0 || isFlowed(d.top.Content[2*key+1], yaml.SequenceNode) {
			return nil
		}
		was := d.top.Content[2*key+1]
		item := lastFrom(len(was.Content), from, func(i int) int { return was.Content[i].Line })
		if item < 0 {
			return nil
		}
		first, end := was.Content[item].Line, len(text.lines)+1
		switch {
		case item+1 < len(was.Content):
			end = was.Content[item+1].Line
			if !d.text.dashed(was.Content[item+1]) {
				return nil
			}
		case 2*key+2 < len(d.top.Content):
			end = d.top.Content[2*key+2].Line
			if d.top.Content[2*key+2].Column != 1 {
				return nil
			}
		}
		if from >= end || !d.text.dashed(was.Content[item]) {
			return nil
		}
		if done[was.Content[item]] {
			continue
		}
		done[was.Content[item]] = true
		now := itemIn(text.between(first, end), was.Column)
		if now == nil || mayAlias(d.text.between(first, end)) {
			return nil
		}
		lower(now, first-1)
		if list := top.Content[2*key+1]; list == was {
			c := *was
			c.Content = slices.Clone(c.Content)
			top.Content[2*key+1] = &c
		}
		top.Content[2*key+1].Content[item] = now
	}
	return &top
}

// isFlowed reports whether y is not of a kind, is written in brackets, or is one that an alias may name.
func isFlowed(y *yaml.Node, kind yaml.Kind) bool {
	return y.Kind != kind || y.Style&yaml.FlowStyle != 0 || y.Anchor != ""
}

// lastFrom is the last of n places in rising order that is on a line or before, -1 where there is none.
func lastFrom(n, line int, lineOf func(i int) int) int {
	return sort.Search(n, func(i int) bool { return lineOf(i) > line }) - 1
}

// line is the line of an index into text, from 1.
func (s *scanned) line(at int) int {
	return lastFrom(len(s.lines), at, func(i int) int { return s.lines[i] }) + 1
}

// dashed reports whether nothing but its dash stands before an item on its line.
func (s *scanned) dashed(y *yaml.Node) bool {
	before := s.text[s.lines[y.Line-1]:s.offset(y.Line, y.Column)]
	return string(bytes.TrimSpace(before)) == "-"
}

// between is the text from a line to the beginning of another.
func (s *scanned) between(first, end int) []byte {
	if end > len(s.lines) {
		return s.text[s.lines[first-1]:]
	}
	return s.text[s.lines[first-1]:s.lines[end-1]]
}

// mayAlias reports whether a text may name something for aliases, or have some.
func mayAlias(text []byte) bool { return bytes.ContainsAny(text, "&*") }

// itemIn parses lines that hold one item of a block list whose dashes stand in a column. It is nil where they are anything
// else.
func itemIn(text []byte, column int) *yaml.Node {
	var list, second yaml.Node
	dec := yaml.NewDecoder(bytes.NewReader(text))
	if mayAlias(text) || decode(dec, &list) != nil || !errors.Is(decode(dec, &second), io.EOF) || len(list.Content) != 1 {
		return nil
	}
	y := list.Content[0]
	if isFlowed(y, yaml.SequenceNode) || y.Column != column || len(y.Content) != 1 {
		return nil
	}
	return y.Content[0]
}

// lower moves a tree down by some lines.
func lower(y *yaml.Node, lines int) {
	y.Line += lines
	for _, kid := range y.Content {
		lower(kid, lines)
	}
}
