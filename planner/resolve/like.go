package resolve

import (
	"slices"
	"strings"

	"echowright/planner/layout"
)

// findKind looks a kind up in the layout and then among those built in. A kind may be like a built-in one
// of its own name, so the entry asking is passed over.
func (r *resolver) findKind(name string, asking layout.Entry) (root, e layout.Entry, ok bool) {
	for _, root := range []layout.Entry{r.doc, r.builtin} {
		if e, ok := entryOf(root, "kinds", name); ok && e != asking {
			return root, e, true
		}
	}
	return layout.Entry{}, layout.Entry{}, false
}

// follow completes the chain along `like`, as far as it leads.
func (c *card) follow() {
	for !c.cut {
		last := c.chain[len(c.chain)-1]
		like, ok := last.Get("like")
		if !ok {
			c.cut = last.Faulty("like")
			return
		}
		root, e, ok := c.r.findKind(like.Text(), last)
		switch {
		case !ok:
			c.cut = true
			c.likeNothing(like, last)
		case slices.Contains(c.chain, e):
			c.cut = true
			c.inCircle(like, e)
		default:
			c.chain, c.roots = append(c.chain, e), append(c.roots, root)
		}
	}
}

// likeNothing refuses a `like` that names no kind.
func (c *card) likeNothing(like, asking layout.Entry) {
	if refused(c.r.doc, "kinds", like.Text()) && like.Text() != asking.Key() {
		return
	}
	known := slices.DeleteFunc(keysOf("kinds", c.r.doc, c.r.builtin), func(s string) bool { return s == asking.Key() })
	c.r.wrong(like, nearest(like.Text(), known, "kinds"), "there is no kind of module %s to be like", quote(like.Text()))
}

// inCircle refuses kinds that are like each other in a circle, once for each circle.
func (c *card) inCircle(like, back layout.Entry) {
	var names []string
	for _, e := range c.chain[slices.Index(c.chain, back):] {
		names = append(names, e.Key())
	}
	key := strings.Join(slices.Sorted(slices.Values(names)), "\x00")
	if c.r.circles[key] {
		return
	}
	c.r.circles[key] = true
	c.r.wrong(like, "let one of them stand by itself", "kinds are like each other in a circle: %s", strings.Join(append(names, back.Key()), ", "))
}
