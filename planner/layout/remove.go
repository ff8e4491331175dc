package layout

import (
	"bytes"
	"errors"

	"gopkg.in/yaml.v3"
)

// remove takes a key or an item out.
func (e *editor) remove(path string) error {
	at, rest := spotAt(e.top, e.spec, path)
	switch {
	case len(rest) > 0:
		return noPlace(path)
	case at.up == nil:
		return errors.New("a document cannot be removed")
	}
	return e.removeSpot(at)
}

func (e *editor) removeSpot(at *spot) error {
	y := at.up.in()
	if at.up.y.Kind == yaml.AliasNode {
		return errors.New("this would also change what the alias there stands for")
	}
	if size(y) == 1 && at.up.up != nil && !e.staysEmpty(at.up) {
		return e.removeSpot(at.up)
	}
	e.mean(at.up, func(s *shape) { s.shrink(at.n) })
	switch {
	case !isBlock(y):
		return e.removeFlow(y, at.n)
	case size(y) > 1:
		return e.removeLines(at)
	case at.up.up == nil:
		return errors.New("it is all there is in the document; it cannot be removed")
	case y.Kind == yaml.MappingNode:
		return e.overwrite(at.up, "{}")
	}
	return e.overwrite(at.up, "[]")
}

// staysEmpty reports whether a map or list stays, as {} or [], when all in it is taken out: where it is an item of a
// list or the format needs it, where a comment speaks of it, or where it is a list in brackets that may be empty.
func (e *editor) staysEmpty(p *spot) bool {
	y := p.in()
	switch {
	case p.key == nil || p.y.Anchor != "":
		return true
	case isBlock(y):
		from := e.lineStart(e.start(p.y))
		head, err := e.colon(p.key)
		if err != nil || head < from && len(bytes.TrimSpace(e.text[head:from])) > 0 {
			return true
		}
		return p.spec != nil && p.spec.Need
	case p.spec == nil:
		return false
	case p.spec.Need:
		return true
	}
	return (p.spec.Form == List || p.spec.byName()) && isBlock(p.up.in()) && p.spec.Least == 0
}

// removeLines takes out a key or item that stands on lines of its own, with the comment behind it.
func (e *editor) removeLines(at *spot) error {
	y := at.up.in()
	indent := e.indentOf(y)
	from := 0
	if at.key != nil {
		from = e.begin(at.key)
	} else {
		dash, ok := e.dash(at.y)
		if !ok {
			return errors.New("the item has no dash before it; change it in a text editor")
		}
		from = dash
	}
	end := e.extent(e.lastOf(at, indent), indent)
	if !e.isFirst(from) {
		return e.removeFirst(at, from, end)
	}
	e.cutApart(e.lineStart(from), end)
	return nil
}

// lastOf returns where the value of a key or item ends.
func (e *editor) lastOf(at *spot, indent int) int {
	end := e.end(at.y, indent)
	if at.key != nil {
		end = max(end, e.end(at.key, indent))
	}
	return end
}

// removeFirst takes out the first key of a map that begins on the line of a dash: the next moves up to it, unless
// comments stand between.
func (e *editor) removeFirst(at *spot, from, end int) error {
	y := at.up.in()
	if at.key == nil || at.n > 0 {
		return errors.New("the list begins on the line of something else; change it in a text editor")
	}
	next := e.begin(y.Content[2])
	if len(bytes.TrimSpace(e.text[end:next])) > 0 {
		e.splice(from, end, "")
		return nil
	}
	e.splice(from, next, "")
	return nil
}

// cutApart takes lines out, and of the blank lines before and behind them leaves as many as the more of the two.
func (e *editor) cutApart(from, end int) {
	next := e.pastBreak(end)
	after, last := 0, next >= len(e.text)
	for at := next; at < len(e.text) && e.isBlank(at); at = e.nextLine(at) {
		after++
		if e.nextLine(at) == at {
			break
		}
	}
	start := from
	for start > 0 && (last || after > 0) {
		before := e.lineStart(e.beforeBreak(start))
		if !e.isBlank(before) {
			break
		}
		start, after = before, after-1
	}
	e.cutLines(start, end)
}

// removeFlow takes out the nth key or item between brackets, with a comma.
func (e *editor) removeFlow(y *yaml.Node, n int) error {
	kids := e.flowKids(y)
	kid := kids[n]
	last := n == len(kids)-1
	from, limit := e.start(y)+1, e.end(y, 0)-1
	if n > 0 {
		from = kids[n-1].to
	}
	if !last {
		limit = kids[n+1].from
	}
	comma := e.past(kid.to, limit)
	if comma < limit && e.text[comma] != ',' {
		comma = limit
	}
	own := e.isFirst(kid.from) && e.lineStart(kid.from) > from // begins a line
	tail := kid.to                                             // behind the comma, or the item where there is none
	if comma < limit {
		tail = comma + 1
	}
	ends := isFirstAfter(e.text[tail:e.lineEnd(tail)]) // ends a line
	noted := bytes.IndexByte(e.text[from:kid.from], '#') >= 0
	switch {
	case len(kids) == 1 && bytes.IndexByte(e.text[from:limit], '#') < 0 || len(kids) == 1 && !own:
		e.splice(from, e.end(y, 0)-1, "")
	case !last && own && ends:
		e.splice(e.lineStart(kid.from), e.nextLine(tail), "")
	case !last && n == 0:
		e.splice(kid.from, limit, "")
	case !last && bytes.IndexByte(e.text[tail:limit], '#') < 0:
		e.splice(kid.from, limit, "")
	case !last:
		e.splice(kid.from, tail, "")
	case own && ends && noted:
		e.dropComma(from, kid.from, n > 0 && comma >= limit)
		e.splice(e.lineStart(kid.from), e.nextLine(tail), "")
	case own && ends:
		e.splice(from, e.lineEnd(kid.to), keepComma(comma < limit && n > 0))
	case noted:
		e.dropComma(from, kid.from, n > 0 && comma >= limit)
		e.splice(kid.from, tail, "")
	default:
		e.splice(from, kid.to, "")
	}
	return nil
}

// keepComma is the comma that stays behind the last where the user writes one there.
func keepComma(yes bool) string {
	if yes {
		return ","
	}
	return ""
}

// dropComma takes out the comma between two places.
func (e *editor) dropComma(from, to int, yes bool) {
	if at := e.past(from, to); yes && at < to && e.text[at] == ',' {
		e.splice(at, at+1, "")
	}
}
