package layout

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"
)

// add puts an item into a list, or a new key into a map.
func (e *editor) add(ed Edit) error {
	at, rest := spotAt(e.top, e.spec, ed.Path)
	if len(rest) > 0 {
		return e.addMissing(at, rest, ed)
	}
	if at.spec != nil && at.spec.byName() {
		return e.addNamed(ed)
	}
	if !at.isList() {
		return fmt.Errorf("%s is there already", ed.Path)
	}
	text, err := written(at.itemSpec(), ed.Text)
	if err != nil {
		return err
	}
	y := at.in()
	switch {
	case at.lone() && !isNull(y):
		e.mean(at, func(s *shape) { *s = shape{kind: yaml.SequenceNode, kids: []*shape{anything, anything}} })
		return e.overwrite(at, "["+e.oneLine(y, 0)+", "+text+"]")
	case isNull(y) && at.beginsBlock(e):
		return e.beginList(at, text)
	case isNull(y):
		return e.replace(at, "["+text+"]")
	case y.Kind != yaml.SequenceNode:
		return fmt.Errorf("%s is not a list", ed.Path)
	case size(y) == 0 && at.spec != nil && at.spec.Need && at.beginsBlock(e):
		return e.beginList(at, text)
	}
	n, err := afterWhich(y, ed.After)
	if err != nil {
		return err
	}
	e.mean(at, func(s *shape) { s.grow(n, "") })
	if isBlock(y) {
		return e.blockItem(at, n, text)
	}
	return e.flowChild(y, n, text)
}

// addNamed adds an entry that is given with its name, as "leg: {shape: post}", to a map of names.
func (e *editor) addNamed(ed Edit) error {
	s, bad := scan([]byte(ed.Text))
	var top *yaml.Node
	if bad == nil {
		top, bad = s.parseYAML()
	}
	if bad != nil || top.Kind != yaml.MappingNode || size(top) != 1 || !canBeName(top.Content[0].Value) && !canBeMounted(top.Content[0].Value) {
		return fmt.Errorf("%s: write a name and what it stands for, such as name: {…}", ed.Path)
	}
	name := top.Content[0].Value
	return e.add(Edit{Do: Add, Path: ed.Path + "." + name, Text: s.oneLine(top.Content[1], 0), After: ed.After})
}

// itemSpec returns the rule of the items of a list.
func (p *spot) itemSpec() *spec {
	if p.spec != nil && p.spec.Form == List {
		return p.spec.item
	}
	return p.spec
}

// beginsBlock reports whether lines of their own can stand below the key of p.
func (p *spot) beginsBlock(e *editor) bool {
	return p.key != nil && isBlock(p.up.in()) && p.y.Kind != yaml.AliasNode && e.lineStart(e.begin(p.key)) == e.lineStart(e.start(p.y))
}

// afterWhich returns before which key or item something goes that is to stand behind the one named.
func afterWhich(y *yaml.Node, after string) (int, error) {
	switch after {
	case "":
		return size(y), nil
	case "0":
		return 0, nil
	}
	if p := (&spot{y: y}).step(after); p != nil {
		return p.n + 1, nil
	}
	return 0, fmt.Errorf("there is no %s to stand behind", after)
}

// addMissing adds a key, or a list that is not there yet with its first item.
func (e *editor) addMissing(at *spot, rest []string, ed Edit) error {
	s := at.spec.at(rest)
	switch {
	case s == nil:
		return noPlace(ed.Path)
	case s.byName():
		return e.addNamed(ed)
	}
	isList := s.Form == List || s.Many
	item := s
	if s.Form == List {
		item = s.item
	}
	text, err := written(item, ed.Text)
	if err != nil {
		return err
	}
	if isList && isFlow(ed.Text) && strings.HasPrefix(ed.Text, "[") && s.Form == List && item.Form != Row {
		return fmt.Errorf("%s: give one item", ed.Path)
	}
	last := rest[len(rest)-1]
	y := at.in()
	block := isBlock(y) && at.y.Kind != yaml.AliasNode || isNull(y) && at.key != nil && at.beginsBlock(e)
	named := at.spec.at(rest[:1]) != nil && at.spec.at(rest[:1]).Form == Named && len(rest) == 2
	child := blanks(e.childIndent(at) + 2)
	switch {
	case isList && s.Form == List && block && len(rest) == 1:
		text = e.lineBreak() + child + "- " + text
	case named && block:
		text = e.lineBreak() + child + last + ": " + text
	default:
		if isList && s.Form == List {
			text = "[" + text + "]"
		}
		for i := len(rest) - 1; i > 0; i-- {
			text = "{" + rest[i] + ": " + text + "}"
		}
	}
	switch {
	case y.Kind == yaml.MappingNode:
		return e.insertKey(at, rest[0], text, ed.After)
	case isNull(y) && at.key != nil && block:
		e.mean(at, (*shape).put)
		return e.below(at, blanks(e.indentAbove(at)+2)+colonBefore(rest[0], text))
	case isNull(y):
		return e.replace(at, "{"+rest[0]+": "+text+"}")
	}
	return noPlace(ed.Path)
}

// childIndent returns the indentation of the keys of p.
func (e *editor) childIndent(p *spot) int {
	if y := p.in(); isBlock(y) && size(y) > 0 {
		return e.indentOf(y)
	}
	return e.indentAbove(p) + 2
}

// colonBefore joins a key and its value, which may begin on the next line.
func colonBefore(key, text string) string {
	if text != "" && isBreak(text[0]) {
		return key + ":" + text
	}
	return key + ": " + text
}

// beginList makes a list that is empty into one of lines with a first item.
func (e *editor) beginList(at *spot, text string) error {
	e.mean(at, (*shape).put)
	return e.below(at, blanks(e.indentAbove(at)+2)+"- "+text)
}

// below writes a line below the key of a value that is empty, and takes the empty brackets out.
func (e *editor) below(at *spot, line string) error {
	head, err := e.head(at)
	if err != nil {
		return err
	}
	if !isNull(at.y) {
		e.splice(head, e.end(at.y, 0), "")
	}
	end := e.lineEnd(head)
	if !isNull(at.y) {
		end = e.lineEnd(e.end(at.y, 0))
	}
	e.splice(end, end, e.lineBreak()+line)
	return nil
}

// insertKey adds a key with its value, ready as YAML, to a map: behind the key named after, or where it belongs.
func (e *editor) insertKey(at *spot, key, text, after string) error {
	y := at.in()
	n, err := afterWhich(y, after)
	if err != nil {
		return err
	}
	if after == "" && at.up == nil {
		n = e.placeInFile(y, key)
	}
	e.mean(at, func(s *shape) { s.grow(n, key) })
	if at.y.Kind == yaml.AliasNode {
		return errors.New("this would also change what the alias there stands for")
	}
	if !isBlock(y) {
		return e.flowChild(y, n, colonBefore(key, text))
	}
	indent := e.indentOf(y)
	text = colonBefore(key, text)
	if n == 0 {
		from := e.begin(y.Content[0])
		e.splice(from, from, text+e.lineBreak()+blanks(indent))
		return nil
	}
	end := e.extent(e.end(y.Content[2*n-1], indent), indent)
	apart := ""
	if at.up == nil && e.standsApart(y, n-1, end) {
		apart = e.lineBreak()
	}
	e.splice(end, end, apart+e.lineBreak()+blanks(indent)+text)
	return nil
}

// placeInFile returns before which key at the top another belongs by the order of the table: behind the last of those that
// come before it there.
func (e *editor) placeInFile(y *yaml.Node, key string) int {
	rank := slices.Index(e.spec.order, key)
	for n := size(y); n > 0; n-- {
		if was := slices.Index(e.spec.order, y.Content[2*n-2].Value); was >= 0 && was < rank {
			return n
		}
	}
	return size(y)
}

// standsApart reports whether a blank line parts the nth key at the top, which ends at end, from what follows, or, where
// it is the last, from what comes before.
func (e *editor) standsApart(y *yaml.Node, n, end int) bool {
	if next := e.pastBreak(end); next > end && next < len(e.text) {
		return e.isBlank(next)
	}
	at := e.lineStart(e.begin(y.Content[2*n]))
	for at > 0 {
		at = e.lineStart(e.beforeBreak(at))
		if e.text[at] != '#' {
			break
		}
	}
	return at > 0 && e.isBlank(at)
}

// blockItem writes an item on lines of its own, as its neighbour is written, before the nth item.
func (e *editor) blockItem(at *spot, n int, text string) error {
	y := at.in()
	near := y.Content[max(n-1, 0)]
	dash, ok := e.dash(near)
	if !ok || !e.isFirst(dash) {
		return errors.New("the list begins on the line of something else; change it in a text editor")
	}
	indent := e.indentOf(y)
	gap := " "
	if from := e.begin(near); e.lineStart(from) == e.lineStart(dash) && from > dash+1 {
		gap = string(e.text[dash+1 : from])
	}
	if isBlock(followed(near)) && followed(near).Kind == yaml.MappingNode {
		text = e.asLines(text, indent+1+len(gap))
	}
	line := blanks(indent) + "-" + gap + text
	if n == 0 {
		from := e.lineStart(dash)
		if at.key != nil && e.lineStart(e.begin(at.key)) != from {
			from = e.nextLine(e.begin(at.key))
		}
		e.splice(from, from, line+e.lineBreak())
		return nil
	}
	end := e.extent(e.end(near, indent), indent)
	e.splice(end, end, e.lineBreak()+line)
	return nil
}

// asLines writes a map in brackets with each key on a line of its own; any other value stays.
func (e *editor) asLines(text string, indent int) string {
	s, bad := scan([]byte(text))
	if bad != nil {
		return text
	}
	top, bad := s.parseYAML()
	if bad != nil || top.Kind != yaml.MappingNode || size(top) == 0 || bytes.ContainsAny(s.text, "&*") {
		return text
	}
	var lines []string
	for n := range size(top) {
		lines = append(lines, s.oneLine(top.Content[2*n], 0)+": "+s.oneLine(top.Content[2*n+1], 0))
	}
	return strings.Join(lines, e.lineBreak()+blanks(indent))
}

// flowChild writes a key or item between brackets, before the nth of them.
func (e *editor) flowChild(y *yaml.Node, n int, text string) error {
	kids, open := e.flowKids(y), e.start(y)+1
	switch {
	case len(kids) == 0:
		e.splice(open, open, text)
	case n == 0:
		e.splice(kids[0].from, kids[0].from, text+", ")
	case e.ownLine(kids, n-1, open):
		e.flowLine(kids[n-1], text)
	default:
		e.splice(kids[n-1].to, kids[n-1].to, ", "+text)
	}
	return nil
}

// span is where a key with its value, or an item, stands between brackets.
type span struct{ from, to int }

func (e *editor) flowKids(y *yaml.Node) (kids []span) {
	for n := range size(y) {
		if y.Kind == yaml.MappingNode {
			k, v := y.Content[2*n], y.Content[2*n+1]
			kids = append(kids, span{e.begin(k), max(e.end(k, 0), e.end(v, 0))})
			continue
		}
		kids = append(kids, span{e.begin(y.Content[n]), e.end(y.Content[n], 0)})
	}
	return kids
}

// ownLine reports whether the nth of what stands between brackets begins a line.
func (e *editor) ownLine(kids []span, n, open int) bool {
	return e.isFirst(kids[n].from) && e.lineStart(kids[n].from) > open
}

// flowLine writes text on a line of its own below one between brackets.
func (e *editor) flowLine(kid span, text string) {
	line := e.lineBreak() + blanks(kid.from-e.lineStart(kid.from)) + text
	comma := e.past(kid.to, len(e.text))
	switch {
	case e.text[comma] == ',' && !isFirstAfter(e.text[comma+1:e.lineEnd(comma)]):
		e.splice(comma+1, comma+1, line+",")
	case e.text[comma] == ',':
		end := e.lineEnd(comma)
		e.splice(end, end, line+",")
	case isFirstAfter(e.text[kid.to:e.lineEnd(kid.to)]):
		e.splice(kid.to, kid.to, ",")
		end := e.lineEnd(kid.to)
		e.splice(end, end, line)
	default:
		e.splice(kid.to, kid.to, ","+line)
	}
}

// isFirstAfter reports whether nothing but a comment is left of a line.
func isFirstAfter(rest []byte) bool {
	rest = bytes.TrimLeft(rest, " \t")
	return len(rest) == 0 || rest[0] == '#'
}
