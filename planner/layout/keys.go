package layout

import (
	"regexp"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// pair is one key of a map with its value.
type pair struct{ key, value *yaml.Node }

// pairs returns the keys of a map, each once; it refuses merge keys, repeated keys and keys that are no text.
func (r *reader) pairs(y *yaml.Node, n *node) []pair {
	first := map[string]*yaml.Node{}
	var out []pair
	for i := 0; i+1 < len(y.Content); i += 2 {
		k, ok := r.follow(y.Content[i], 0)
		if !ok {
			continue
		}
		switch {
		case k.Kind != yaml.ScalarNode:
			r.fault(k, "write a plain word followed by a colon", "a key that is %s", described(k))
		case k.Tag == "!!merge":
			r.fault(k, "write the keys out; a kind of module may take over another's by `like:`", "merge keys (<<) are not read")
			n.lost = append(n.lost, n.spec.order...) // it may have meant any of them
		case first[k.Value] != nil:
			was := first[k.Value]
			r.fault(k, "keep one of them", "%s is given twice, first at %d:%d", diag.Quote(k.Value), was.Line, was.Column)
			n.lost = append(n.lost, k.Value)
		default:
			first[k.Value] = k
			out = append(out, pair{k, y.Content[i+1]})
		}
	}
	return out
}

// isOther reports a file that is something else altogether: it does not say what it is, and most of its keys are unknown.
func (r *reader) isOther(y *yaml.Node, n *node, written []pair) bool {
	unknown := 0
	for _, p := range written {
		if len(n.spec.order) > 0 && p.key.Value == n.spec.order[0] || diag.Nearest(p.key.Value, n.spec.order[:1]) != "" {
			return false
		}
		if n.spec.kids[p.key.Value] == nil {
			unknown++
		}
	}
	if unknown < 3 || 2*unknown <= len(written) {
		return false
	}
	r.diags, r.stopped = nil, true
	r.fault(y, "such a file begins with "+n.spec.order[0]+": 1", "this is another sort of file: it has no %s, and %d of its %d keys are unknown", n.spec.order[0], unknown, len(written))
	return true
}

// decimalComma is what a decimal comma leaves of a value within brackets: the key 1 ms of {jitter: 0,1 ms}.
var decimalComma = regexp.MustCompile(`^[0-9]+ ?[a-zA-Z/%]*$`)

// unknownKey answers a key that the table does not have here, and returns the key that seems to be meant.
func (r *reader) unknownKey(k *yaml.Node, n *node) (near string) {
	name := k.Value
	right := "known here: " + strings.Join(n.spec.order, ", ")
	if near = diag.Nearest(name, n.spec.order); near != "" {
		right = "did you mean " + near + "?"
	} else if decimalComma.MatchString(name) {
		right = "decimals have a point, such as 0.1 ms, where a comma divides"
	} else if elsewhere := r.doc.spec.find(name); len(elsewhere) > 0 {
		at := "at " + elsewhere[0].Path
		if elsewhere[0].Path == name {
			at = "at the top of the file"
		}
		right = "it belongs " + at + "; " + right
	}
	if near == "" {
		r.extra(k, right, "unknown key %s in %s", diag.Quote(name), n.label())
		return ""
	}
	r.fault(k, right, "unknown key %s in %s", diag.Quote(name), n.label())
	return near
}

// beside is which keys of a map are written, and which seem to be meant by misspelt ones.
type beside struct {
	given map[string]*yaml.Node
	meant map[string]bool
}

// checkKeys checks which keys of a map stand beside which.
func (r *reader) checkKeys(y *yaml.Node, n *node, b beside) {
	for _, group := range n.spec.OneOf {
		r.checkGroup(y, n, group, b)
	}
	for _, key := range n.spec.order {
		s := n.spec.kids[key]
		allowed, sure := n.holds(s.when, b)
		switch {
		case b.given[key] != nil && !allowed:
			r.fault(b.given[key], "leave it out, or write "+s.when.String(), "%s does not go with %s", key, n.instead(s.when, b))
			n.lost = append(n.lost, key)
		case b.given[key] == nil && s.Need && allowed && sure && !b.meant[key] && !slices.Contains(n.lost, key):
			r.fault(y, "add "+s.sample(key), "%s has no %s", n.label(), key)
			n.lost = append(n.lost, key)
		}
	}
}

// checkGroup checks that exactly one, or at most one, of some keys is there.
func (r *reader) checkGroup(y *yaml.Node, n *node, group Alternatives, b beside) {
	var there []string
	meant := false
	for _, k := range group.Keys {
		meant = meant || b.meant[k] || slices.Contains(n.lost, k)
		if b.given[k] != nil {
			there = append(there, k)
		}
	}
	switch {
	case len(there) > 1:
		r.fault(b.given[there[1]], "keep one of them", "%s has both %s and %s", n.label(), there[0], there[1])
		n.lost = append(n.lost, there...)
	case len(there) == 0 && !group.AtMost && !meant:
		r.fault(y, "add "+n.spec.kids[group.Keys[0]].sample(group.Keys[0]), "%s has none of %s", n.label(), diag.Join(group.Keys))
		n.lost = append(n.lost, group.Keys...)
		for _, k := range group.Keys {
			b.meant[k] = true
		}
	}
}

// holds reports whether a condition on a sibling holds. sure is false where the sibling is not
// written and its value may come from the kind that `like` names, or a message about it stands already.
func (n *node) holds(c condition, b beside) (allowed, sure bool) {
	switch {
	case c.key == "":
		return true, true
	case b.given[c.key] == nil:
		return b.meant[c.key] || n.inherits(), false
	case len(c.values) == 0:
		return true, true
	}
	sib := n.kids[c.key]
	if sib == nil {
		return true, false
	}
	return slices.Contains(c.values, sib.text), true
}

// instead says what is there in place of what a condition asks.
func (n *node) instead(c condition, b beside) string {
	if b.given[c.key] == nil {
		return n.label() + " without " + c.key
	}
	return c.key + ": " + n.kids[c.key].text
}

// inherits reports whether n lies in a kind of module that takes over another's values.
func (n *node) inherits() bool {
	for ; n != nil; n = n.parent {
		if n.kids["like"] != nil {
			return true
		}
	}
	return false
}
