package layout

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

func (r *reader) readWhole(y *yaml.Node, n *node) bool {
	s := n.spec
	v, err := strconv.Atoi(y.Value)
	if err != nil || y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 || strconv.Itoa(v) != y.Value {
		r.fault(y, "write a number such as "+s.Good, "%s: %s is not a whole number", n.label(), diag.Quote(y.Value))
		return false
	}
	n.lo, n.hi = float64(v), float64(v)
	if s.lo <= n.lo && n.lo <= s.hi {
		return true
	}
	if lo, hi, ok := wholeSpan(s.LaterWithin); ok && lo <= v && v <= hi {
		r.fault(y, "write "+s.bounded()+" for now", "%s: %d is known, but %s", n.label(), v, s.Later)
		return false
	}
	r.fault(y, "accepted: "+s.bounded(), "%s: %d is out of bounds", n.label(), v)
	return false
}

// ofMany is how many of how many, without leading zeros.
var ofMany = regexp.MustCompile(`^([1-9][0-9]*) of ([1-9][0-9]*)$`)

func (r *reader) readOfMany(y *yaml.Node, n *node) bool {
	s := n.spec
	parts := ofMany.FindStringSubmatch(y.Value)
	if parts == nil {
		r.fault(y, "write two whole numbers, such as "+s.Good, "%s: %s does not say how many of how many", n.label(), diag.Quote(y.Value))
		return false
	}
	some, err1 := strconv.Atoi(parts[1])
	all, err2 := strconv.Atoi(parts[2])
	n.lo, n.hi = float64(some), float64(all)
	switch {
	case err1 != nil || err2 != nil || n.lo > s.hi || n.hi > s.hi:
		r.fault(y, fmt.Sprintf("no more than %.0f", s.hi), "%s: %s is out of bounds", n.label(), diag.Quote(y.Value))
		return false
	case some > all:
		r.fault(y, fmt.Sprintf("write %d of %d", all, some), "%s: of %d there are never %d", n.label(), all, some)
		return false
	}
	return true
}

// Addresses of seven bits that a two-wire bus leaves free: below and above, 0000 xxx and 1111 xxx,
// are reserved by the bus's specification (UM10204).
const (
	leastAddress = 0x08
	mostAddress  = 0x77
)

func addressText(a int) string { return fmt.Sprintf("0x%02x", a) }

// address is a number in hexadecimal or plain digits.
var address = regexp.MustCompile(`^(0x[0-9a-fA-F]{1,8}|0|[1-9][0-9]{0,8})$`)

func (r *reader) readAddress(y *yaml.Node, n *node) bool {
	s := n.spec
	if !address.MatchString(y.Value) || y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		r.fault(y, "write a number such as "+s.Good, "%s: %s is not an address", n.label(), diag.Quote(y.Value))
		return false
	}
	v, _ := strconv.ParseInt(y.Value, 0, 64) // the pattern leaves nothing to go wrong
	n.lo, n.hi = float64(v), float64(v)
	if s.lo <= n.lo && n.lo <= s.hi {
		return true
	}
	right := "free on a bus of seven bits: " + s.within
	if half := v / 2; v > 0x7f && v <= 0xff && leastAddress <= half && half <= mostAddress {
		right += "; with the bit for reading taken off it is " + addressText(int(half))
	}
	r.fault(y, right, "%s: %s is out of bounds", n.label(), y.Value)
	return false
}

// wholeSpan reads "2..9".
func wholeSpan(text string) (lo, hi int, ok bool) {
	a, b, ok := strings.Cut(text, "..")
	lo, err1 := strconv.Atoi(a)
	hi, err2 := strconv.Atoi(b)
	return lo, hi, ok && err1 == nil && err2 == nil
}

// bounded says the bounds of a whole number, "0 or 1" and "1" rather than spans where they are so narrow.
func (s *spec) bounded() string {
	switch s.hi - s.lo {
	case 0:
		return strconv.Itoa(int(s.lo))
	case 1:
		return strconv.Itoa(int(s.lo)) + " or " + strconv.Itoa(int(s.hi))
	}
	return s.Within
}
