package layout

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// Bounds on what a file may ask for. A layout of two hundred sensors and outlines of a thousand
// corners stays well below them; memory stays in proportion to MaxSize.
const (
	maxMarks = 120_000 // of , : [ { and list dashes, which is at least the number of values
	maxNest  = 32      // maps and lists within each other; the format itself needs eight
)

// scanned is a file that passed the first look: its text without byte-order mark.
type scanned struct {
	text  []byte
	skip  int // bytes before text
	lines []int
}

// scan looks at the bytes before any YAML reader does.
func scan(data []byte) (scanned, *diag.Diag) {
	if len(data) > MaxSize {
		return scanned{}, &diag.Diag{Line: 1, Col: 1, Wrong: fmt.Sprintf("the file is larger than %d bytes", MaxSize), Right: "a layout is a short text; is this the right file?"}
	}
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return scanned{}, &diag.Diag{Line: 1, Col: 1, Wrong: "the file is UTF-16 text", Right: "save it as UTF-8"}
	}
	s := scanned{text: data}
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		s.text, s.skip = data[3:], 3
	}
	return s, s.characters()
}

// characters finds the first character that no layout may hold, and counts lines and marks.
func (s *scanned) characters() *diag.Diag {
	line, col, marks, nest := 1, 1, 0, 0
	blank := true // nothing but white space in this line so far
	s.lines = []int{0}
	for i := 0; i < len(s.text); {
		r, size := utf8.DecodeRune(s.text[i:])
		bad := func(wrong, right string) *diag.Diag {
			return &diag.Diag{Line: line, Col: col, Wrong: wrong, Right: right}
		}
		switch {
		case r == utf8.RuneError && size == 1:
			return bad(fmt.Sprintf("byte 0x%02x is not UTF-8 text", s.text[i]), "save the file as UTF-8 text")
		case r == '\t' && blank && indents(s.text[i:]):
			return bad("a tab in the indentation", "indent with spaces")
		case forbidden(r):
			return bad(fmt.Sprintf("control character U+%04X", r), "a layout is plain text; take it out")
		case r == ',' || r == ':' || r == '[' || r == '{' || r == '-' && blank:
			marks++
		}
		switch r {
		case '[', '{':
			nest++
		case ']', '}':
			nest = max(0, nest-1)
		}
		if nest > 10*maxNest {
			return bad("brackets are nested too deeply", fmt.Sprintf("no more than %d within each other", maxNest))
		}
		if marks > maxMarks {
			return bad("too many values in one file", fmt.Sprintf("no more than about %d", maxMarks))
		}
		blank = blank && (r == ' ' || r == '\t')
		i += size
		if r == '\n' || r == '\r' && !bytes.HasPrefix(s.text[i:], []byte{'\n'}) {
			line, col, blank = line+1, 1, true
			s.lines = append(s.lines, i)
			continue
		}
		col++
	}
	return nil
}

// indents reports whether a line's leading white space is followed by something other than a comment.
func indents(rest []byte) bool {
	rest = bytes.TrimLeft(rest, " \t")
	return len(rest) > 0 && rest[0] != '#' && rest[0] != '\n' && rest[0] != '\r'
}

// forbidden reports control characters, the line separators that some readers count as line breaks
// and others do not, and the marks that turn the direction of text and so hide what is written.
func forbidden(r rune) bool {
	switch {
	case r == '\n' || r == '\r' || r == '\t':
		return false
	case unicode.IsControl(r), r == '\u2028', r == '\u2029', r == '\ufeff', r == '\ufffe', r == '\uffff':
		return true
	}
	return '\u202a' <= r && r <= '\u202e' || '\u2066' <= r && r <= '\u2069'
}

// offset turns a place as YAML nodes give it into an index into text.
func (s *scanned) offset(line, col int) int {
	if line < 1 || line > len(s.lines) {
		return len(s.text)
	}
	at := s.lines[line-1]
	for ; col > 1 && at < len(s.text); col-- {
		_, size := utf8.DecodeRune(s.text[at:])
		at += size
	}
	return at
}

// parseYAML makes the node tree of the only document in the text.
func (s *scanned) parseYAML() (*yaml.Node, *diag.Diag) {
	dec := yaml.NewDecoder(bytes.NewReader(s.text))
	var doc, second yaml.Node
	err := decode(dec, &doc)
	switch {
	case errors.Is(err, io.EOF) || err == nil && (len(doc.Content) == 0 || isNull(doc.Content[0]) && doc.Content[0].Value == ""):
		return nil, &diag.Diag{Line: 1, Col: 1, Wrong: "the file holds no layout", Right: "a layout begins with echowright: 1"}
	case err != nil:
		return nil, s.syntax(err)
	}
	if err = decode(dec, &second); err == nil {
		return nil, &diag.Diag{Line: second.Line, Col: second.Column, Wrong: "a second document begins here", Right: "one layout a file; take out the line of dashes and what follows"}
	} else if !errors.Is(err, io.EOF) {
		return nil, s.syntax(err)
	}
	return doc.Content[0], nil
}

// decode turns a panic of the YAML reader into an error: no text may bring the program down.
func decode(dec *yaml.Decoder, into *yaml.Node) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("yaml: %v", r)
		}
	}()
	return dec.Decode(into)
}

func isNull(y *yaml.Node) bool { return y.Kind == yaml.ScalarNode && y.Tag == "!!null" }

// syntax says in plain words where text stops being YAML.
func (s *scanned) syntax(err error) *diag.Diag {
	if d := s.unclosed(); d != nil {
		return d
	}
	msg := strings.TrimPrefix(err.Error(), "yaml: ")
	if _, rest, ok := cutLine(msg); ok {
		msg = rest
	}
	line := s.firstFailing(msg)
	d := &diag.Diag{Line: line, Col: s.indent(line) + 1}
	d.Wrong, d.Right = plainWords(msg)
	return d
}

// cutLine takes "line 12: " off the front of a message.
func cutLine(msg string) (line int, rest string, ok bool) {
	after, ok := strings.CutPrefix(msg, "line ")
	if !ok {
		return 0, msg, false
	}
	num, rest, ok := strings.Cut(after, ": ")
	line, err := strconv.Atoi(num)
	return line, rest, ok && err == nil
}

// firstFailing returns the line by which the text fails with the message. The YAML reader names the
// line where the surrounding construct began, or one before or after; halving finds the true one,
// since a text that stops before the fault does not have it.
func (s *scanned) firstFailing(msg string) int {
	lo, hi := 0, len(s.lines) // fails with hi lines, not with lo
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		var y yaml.Node
		err := decode(yaml.NewDecoder(bytes.NewReader(s.text[:s.lines[mid]])), &y)
		if err != nil && strings.HasSuffix(err.Error(), msg) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// indent returns the number of blanks at the front of a line.
func (s *scanned) indent(line int) int {
	rest := s.text[s.lines[line-1]:]
	return len(rest) - len(bytes.TrimLeft(rest, " "))
}

// plainWords says a complaint of the YAML reader in our own words.
func plainWords(msg string) (wrong, right string) {
	for _, known := range []struct{ part, wrong, right string }{
		{"mapping values are not allowed", "a second `key:` on the line of another value, or a line indented too far", "write each key on its own line, or put a text with a colon in quotes"},
		{"did not find expected ',' or", "a comma or a closing bracket is missing", "separate the values by commas and close the bracket"},
		{"did not find expected key", "the line does not fit those above it", "indent all keys of one map alike, and put a text with special characters in quotes"},
		{"did not find expected '-' indicator", "the line does not fit the list above it", "begin each item of a list with a dash, all indented alike"},
		{"could not find expected ':'", "a key without a colon after it", "write `key: value` with a blank after the colon"},
		{"cannot start any token", "the line begins a value with a character that YAML keeps for itself (@, `, % or a tab)", "put the text in quotes"},
		{"block sequence entries are not allowed", "a list begins on the line of its key", "begin the list on the next line, or write it in square brackets"},
		{"found unknown escape character", "an unknown escape after a backslash", "write the text in 'single quotes' to keep backslashes"},
		{"unknown anchor", "a * refers to nothing named before it", "put a text that begins with * in quotes"},
		{"did not find expected alphabetic", "an * or & without a name", "put a text that begins with * or & in quotes"},
		{"exceeded max depth", "values are nested too deeply", fmt.Sprintf("no more than %d within each other", maxNest)},
		{"did not find expected node content", "a value is missing between brackets or commas", "write a value, or take the comma out"},
	} {
		if strings.Contains(msg, known.part) {
			return known.wrong, known.right
		}
	}
	return "the text is not YAML from here on", "check the indentation, colons, quotes and brackets of this line and the one before"
}
