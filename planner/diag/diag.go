// Package diag holds messages that belong to a place in a file. What finds a fault makes a [Diag];
// the command line and the editor print the same list.
//
// A message reads FILE:LINE:COL: what is wrong; what would be right. Lines and columns count from 1,
// columns in characters. Text taken from the user's file goes through [Quote], so that a message is
// always one short printable line.
package diag

import (
	"fmt"
	"slices"
	"strings"
)

// Diag is one message with its place. Line 0 means the file as a whole.
type Diag struct {
	File      string
	Line, Col int
	Wrong     string // what is wrong
	Right     string // what would be right; may be empty
}

// String returns FILE:LINE:COL: wrong; right.
func (d Diag) String() string {
	var b strings.Builder
	if d.File != "" {
		b.WriteString(d.File)
		b.WriteByte(':')
	}
	if d.Line > 0 {
		fmt.Fprintf(&b, "%d:%d:", d.Line, d.Col)
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	b.WriteString(d.Wrong)
	if d.Right != "" {
		b.WriteString("; ")
		b.WriteString(d.Right)
	}
	return b.String()
}

// Error makes a Diag usable as an error.
func (d Diag) Error() string { return d.String() }

// List is the messages of one run. The zero value is an empty list.
type List []Diag

// Sort orders l by file, place and text, and drops exact repeats.
func (l List) Sort() List {
	slices.SortStableFunc(l, compare)
	return slices.Compact(l)
}

func compare(a, b Diag) int {
	if c := strings.Compare(a.File, b.File); c != 0 {
		return c
	}
	if a.Line != b.Line {
		return a.Line - b.Line
	}
	if a.Col != b.Col {
		return a.Col - b.Col
	}
	if c := strings.Compare(a.Wrong, b.Wrong); c != 0 {
		return c
	}
	return strings.Compare(a.Right, b.Right)
}

// HasErrors reports whether l holds a message: each of them makes the file unusable.
func (l List) HasErrors() bool { return len(l) > 0 }

// String returns the messages, one a line, without a final line break.
func (l List) String() string {
	lines := make([]string, len(l))
	for i, d := range l {
		lines[i] = d.String()
	}
	return strings.Join(lines, "\n")
}

// Error makes a List usable as an error.
func (l List) Error() string { return l.String() }
