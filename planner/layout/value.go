package layout

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
	"echowright/planner/quantity"
)

const (
	longestName = 60   // characters
	longestText = 2000 // characters, of texts a person reads
)

// readScalar reads a value that is no list and no map.
func (r *reader) readScalar(y *yaml.Node, n *node) bool {
	if y.Kind != yaml.ScalarNode {
		r.fault(y, n.example(), "%s is %s where %s is due", n.label(), described(y), n.spec.wanted())
		return false
	}
	switch n.spec.Form {
	case Text:
		return r.readText(y, n)
	case Name:
		n.text = y.Value
		return r.isName(y, n.label())
	case Mounted:
		n.text = y.Value
		return r.isMounted(y, n.label())
	case Choice:
		return r.readChoice(y, n)
	case Whole:
		return r.readWhole(y, n)
	case OfMany:
		return r.readOfMany(y, n)
	case Address:
		return r.readAddress(y, n)
	case Flag:
		return r.readFlag(y, n)
	case Span:
		return r.readSpan(y, n)
	default:
		return r.readQuantity(y, n, n.spec.Units)
	}
}

// readText reads free text; runs of white space count as one blank.
func (r *reader) readText(y *yaml.Node, n *node) bool {
	if !r.isText(y, n.label()) {
		return false
	}
	n.text = strings.Join(strings.Fields(y.Value), " ")
	if n.text == "" {
		r.fault(y, "write some text, or leave the key out", "%s is empty", n.label())
		return false
	}
	if utf8.RuneCountInString(n.text) > longestText && n.key != "path" {
		r.fault(y, "no more than "+strconv.Itoa(longestText)+" characters", "%s is too long", n.label())
		return false
	}
	return true
}

// isText refuses plain values that a YAML reader, of today's or of the older rules, takes for
// something other than text, and characters that cannot be shown.
func (r *reader) isText(y *yaml.Node, label string) bool {
	if y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle|yaml.LiteralStyle|yaml.FoldedStyle) == 0 {
		if kind := readAs(y); kind != "" {
			r.fault(y, "put it in quotes: "+strconv.Quote(y.Value), "%s: %s is read as %s by some readers", label, diag.Quote(y.Value), kind)
			return false
		}
	}
	for _, c := range y.Value {
		if forbidden(c) {
			r.fault(y, "take it out", "%s holds the control character U+%04X", label, c)
			return false
		}
	}
	return true
}

// readAs says what a plain value is for YAML 1.2 or 1.1 if not text.
func readAs(y *yaml.Node) string {
	switch strings.ToLower(y.Value) {
	case "y", "n", "yes", "no", "on", "off", "true", "false":
		return "true or false"
	}
	switch y.Tag {
	case "!!int", "!!float":
		return "a number"
	case "!!timestamp":
		return "a date"
	case "!!null":
		return "nothing"
	}
	return ""
}

// isName checks a name or a reference to one.
func (r *reader) isName(y *yaml.Node, label string) bool {
	if !r.isText(y, label) {
		return false
	}
	const right = "letters, digits, blanks, - and _, beginning with a letter, at most 60 of them"
	good := canBeName(y.Value)
	if !good {
		r.fault(y, right, "%s: %s cannot be a name", label, diag.Quote(y.Value))
	}
	return good
}

func canBeName(s string) bool {
	good := s != "" && s == strings.TrimSpace(s) && utf8.RuneCountInString(s) <= longestName
	for i, c := range s {
		good = good && (unicode.IsLetter(c) || i > 0 && (unicode.Is(unicode.Mn, c) || unicode.IsDigit(c) || strings.ContainsRune(" -_", c)))
	}
	return good
}

// which tells one sensor of an entry from the others.
var which = regexp.MustCompile(`^(left|right|[1-9][0-9]{0,2})$`)

// canBeMounted reports whether s can be the name of an entry of sensors, or of one of its sensors.
func canBeMounted(s string) bool {
	entry, one, found := strings.Cut(s, ".")
	return canBeName(entry) && (!found || which.MatchString(one))
}

// isMounted checks the name of an entry or of one of its sensors.
func (r *reader) isMounted(y *yaml.Node, label string) bool {
	if !r.isText(y, label) {
		return false
	}
	good := canBeMounted(y.Value)
	if !good {
		r.fault(y, "the name of an entry of sensors, or of one of them such as bow.1 or side.left", "%s: %s cannot be a sensor", label, diag.Quote(y.Value))
	}
	return good
}

func (r *reader) readChoice(y *yaml.Node, n *node) bool {
	n.text = y.Value
	s := n.spec
	for _, w := range s.Words {
		if w == y.Value {
			return true
		}
	}
	for _, w := range s.LaterWords {
		if w == y.Value {
			r.fault(y, "choose "+diag.Join(s.Words)+" for now", "%s: %s is known, but %s", n.label(), w, s.Later)
			return false
		}
	}
	right := "choose " + diag.Join(s.Words)
	if near := diag.Nearest(y.Value, s.Words); near != "" {
		right = "did you mean " + near + "? " + right
	}
	r.fault(y, right, "%s cannot be %s", n.label(), diag.Quote(y.Value))
	return false
}

func (r *reader) readFlag(y *yaml.Node, n *node) bool {
	if y.Tag == "!!bool" && y.Style == 0 && (y.Value == "true" || y.Value == "false") {
		n.flag = y.Value == "true"
		return true
	}
	r.fault(y, "write true or false, without quotes", "%s cannot be %s", n.label(), diag.Quote(y.Value))
	return false
}

// readQuantity reads a number with one of the kinds of unit, or a word in its place.
func (r *reader) readQuantity(y *yaml.Node, n *node, units []quantity.Kind) bool {
	if r.isInstead(y, n) {
		return true
	}
	if y.Kind != yaml.ScalarNode {
		r.fault(y, n.example(), "%s is %s where %s is due", n.label(), described(y), units[0].Noun())
		return false
	}
	text, word, ok := r.splitWord(y, n)
	if !ok {
		return false
	}
	v, kind, err := parseAny(units, text)
	if err != nil {
		r.quantityFault(y, n, err)
		return false
	}
	n.word, n.unit, n.lo, n.hi = word, kind, v, v
	return r.inBounds(y, n)
}

// parseAny reads text as the first of the kinds whose unit it has.
func parseAny(units []quantity.Kind, text string) (v float64, k quantity.Kind, err error) {
	var first error
	for _, k := range units {
		v, err := quantity.Parse(k, text)
		if err == nil {
			return v, k, nil
		}
		if first == nil {
			first = err
		}
	}
	var e *quantity.Error
	if len(units) > 1 && errors.As(first, &e) {
		names := make([]string, len(units))
		var all []string
		for i, k := range units {
			names[i] = k.Noun()
			all = append(all, k.Units()...)
		}
		first = &quantity.Error{Wrong: strings.ReplaceAll(e.Wrong, units[0].Noun(), diag.Join(names)), Right: "units accepted: " + diag.Join(all)}
	}
	return 0, 0, first
}

// splitWord takes the word that may follow a quantity off the end of it.
func (r *reader) splitWord(y *yaml.Node, n *node) (text, word string, ok bool) {
	text = strings.TrimSpace(y.Value)
	for _, w := range n.spec.Words {
		if rest, found := strings.CutSuffix(text, " "+w); found {
			return rest, w, true
		}
	}
	if len(n.spec.Words) == 0 {
		return text, "", true
	}
	if v, tail, found := leadingQuantity(n.spec.Units[0], text); found && tail != "" {
		right := "what may follow " + v + ": " + diag.Join(n.spec.Words)
		if near := diag.Nearest(tail, n.spec.Words); near != "" {
			right = "did you mean " + near + "? " + right
		}
		r.fault(y, right, "%s: %s after %s is not understood", n.label(), diag.Quote(tail), v)
		return "", "", false
	}
	if _, err := quantity.Parse(n.spec.Units[0], text); err == nil && n.spec.Must {
		r.fault(y, "add "+diag.Join(n.spec.Words), "%s: %s does not say which way it is meant", n.label(), diag.Quote(text))
		return "", "", false
	}
	return text, "", true
}

// leadingQuantity parts "12 deg sideways" into the quantity and what follows.
func leadingQuantity(k quantity.Kind, text string) (q, tail string, ok bool) {
	fields := strings.Fields(text)
	for i := min(2, len(fields)); i > 0; i-- {
		q = strings.Join(fields[:i], " ")
		if _, err := quantity.Parse(k, q); err == nil {
			return q, strings.Join(fields[i:], " "), true
		}
	}
	return "", "", false
}

// readSpan reads two numbers with a unit, one where the table allows it, or a word in their place.
func (r *reader) readSpan(y *yaml.Node, n *node) bool {
	if r.isInstead(y, n) {
		return true
	}
	s, kind := n.spec, n.spec.Units[0]
	if s.Single && !quantity.IsSpan(y.Value) {
		if v, err := quantity.Parse(kind, y.Value); err == nil {
			n.unit, n.lo, n.hi = kind, v, v
			return r.inBounds(y, n)
		}
	}
	lo, hi, err := quantity.ParseSpan(kind, y.Value)
	if err != nil {
		r.quantityFault(y, n, err)
		return false
	}
	if lo == hi && !s.Single {
		r.fault(y, "write two different ends, such as "+s.Good, "%s: the span %s is empty", n.label(), diag.Quote(y.Value))
		return false
	}
	n.unit, n.lo, n.hi = kind, lo, hi
	return r.inBounds(y, n)
}

func (r *reader) isInstead(y *yaml.Node, n *node) bool {
	for _, w := range n.spec.Instead {
		if y.Kind == yaml.ScalarNode && y.Value == w {
			n.text = w
			return true
		}
	}
	return false
}

func (r *reader) inBounds(y *yaml.Node, n *node) bool {
	lo, hi, text := n.spec.bounds(n.unit)
	if lo <= n.lo && n.hi <= hi {
		return true
	}
	r.fault(y, "accepted: "+text, "%s: %s is out of bounds", n.label(), diag.Quote(y.Value))
	return false
}

// quantityFault adds what the quantity parser says, and the words accepted in place of a quantity.
func (r *reader) quantityFault(y *yaml.Node, n *node, err error) {
	var e *quantity.Error
	errors.As(err, &e)
	right := e.Right
	if len(n.spec.Instead) > 0 {
		right += "; or " + diag.Join(n.spec.Instead)
	}
	r.fault(y, right, "%s: %s", n.label(), e.Wrong)
}
