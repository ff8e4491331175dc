package layout

import (
	"fmt"

	"echowright/planner/diag"
)

// opening is a bracket or quote not closed yet.
type opening struct {
	mark      byte
	line, col int
}

// unclosed finds the first bracket or quote that the text opens and never closes, or closes wrongly.
// It is asked only once the YAML reader has refused the text, to say where; so it may be simple: a
// bracket or quote opens only where a value may begin.
func (s *scanned) unclosed() *diag.Diag {
	var open []opening
	line, col := 1, 0
	begins := true // a value may begin here
	for i := 0; i < len(s.text); i++ {
		c := s.text[i]
		if c&0xc0 != 0x80 {
			col++
		}
		switch {
		case c == '\n':
			line, col, begins = line+1, 0, true
		case c == ' ' || c == '\r' || c == '\t':
		case c == '#' && (i == 0 || s.text[i-1] == ' ' || s.text[i-1] == '\n' || s.text[i-1] == '\t'):
			for i+1 < len(s.text) && s.text[i+1] != '\n' {
				i++
			}
		case (c == '"' || c == '\'') && begins:
			end, newlines := closingQuote(s.text, i)
			if end < 0 {
				return notClosed(opening{c, line, col})
			}
			if newlines > 0 {
				line, col = line+newlines, 0
			}
			col += end - i
			i, begins = end, false
		case (c == '[' || c == '{') && (begins || len(open) > 0):
			open = append(open, opening{c, line, col})
			begins = true
		case (c == ']' || c == '}') && len(open) > 0:
			last := open[len(open)-1]
			if last.mark+2 != c { // '[' and ']', '{' and '}' are two apart in ASCII
				return notClosed(last)
			}
			open, begins = open[:len(open)-1], false
		default:
			begins = c == ',' || c == ':' || (c == '-' && begins)
		}
	}
	if len(open) > 0 {
		return notClosed(open[0])
	}
	return nil
}

func notClosed(o opening) *diag.Diag {
	closing := o.mark
	if o.mark == '[' || o.mark == '{' {
		closing += 2
	}
	return &diag.Diag{
		Line: o.line, Col: o.col,
		Wrong: fmt.Sprintf("the %c opened here is not closed", o.mark), Right: fmt.Sprintf("add the closing %c", closing),
	}
}

// closingQuote returns the index of the quote that ends the quoted text beginning at i, or -1, and
// the number of line breaks on the way.
func closingQuote(text []byte, i int) (end, newlines int) {
	quote := text[i]
	for j := i + 1; j < len(text); j++ {
		switch {
		case text[j] == '\n':
			newlines++
		case text[j] == '\\' && quote == '"':
			j++
		case text[j] == quote && quote == '\'' && j+1 < len(text) && text[j+1] == quote:
			j++
		case text[j] == quote:
			return j, newlines
		}
	}
	return -1, newlines
}
