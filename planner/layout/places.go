package layout

import (
	"bytes"
	"fmt"
	"strings"

	"gopkg.in/yaml.v3"
)

// followed returns what an alias stands for, and any other node as it is.
func followed(y *yaml.Node) *yaml.Node {
	for range maxNest {
		if y.Kind != yaml.AliasNode {
			break
		}
		y = y.Alias
	}
	return y
}

// isBlock reports whether y is a map or list laid out by indentation.
func isBlock(y *yaml.Node) bool {
	return (y.Kind == yaml.MappingNode || y.Kind == yaml.SequenceNode) && y.Style&yaml.FlowStyle == 0
}

func isBreak(c byte) bool { return c == '\n' || c == '\r' }
func isSpace(c byte) bool { return c == ' ' || c == '\t' }

// begin returns where y is written, its anchor and tag included.
func (s *scanned) begin(y *yaml.Node) int { return s.offset(y.Line, y.Column) }

// props returns where the anchor and the tag of y end, which is its beginning when it has none.
func (s *scanned) props(y *yaml.Node) int {
	at := s.begin(y)
	if y.Kind == yaml.AliasNode || y.Anchor == "" && y.Style&yaml.TaggedStyle == 0 {
		return at
	}
	end := at
	for at < len(s.text) && (s.text[at] == '&' || s.text[at] == '!') {
		for at < len(s.text) && !isSpace(s.text[at]) && !isBreak(s.text[at]) {
			at++
		}
		end = at
		for at < len(s.text) && isSpace(s.text[at]) {
			at++
		}
	}
	return end
}

// start returns where the value itself begins, behind its anchor and tag.
func (s *scanned) start(y *yaml.Node) int {
	at := s.props(y)
	if at == s.begin(y) {
		return at
	}
	return s.past(at, len(s.text))
}

// past passes over blanks, line breaks and comments.
func (s *scanned) past(at, end int) int {
	for at < end {
		switch c := s.text[at]; {
		case isSpace(c) || isBreak(c):
			at++
		case c == '#' && s.isComment(at):
			at = s.lineEnd(at)
		default:
			return at
		}
	}
	return at
}

// isComment reports whether the # at an index begins a comment.
func (s *scanned) isComment(at int) bool {
	return at == 0 || isSpace(s.text[at-1]) || isBreak(s.text[at-1])
}

// end returns where a value ends. indent is that of the map or list it belongs to.
func (s *scanned) end(y *yaml.Node, indent int) int {
	from := s.start(y)
	switch {
	case y.Kind == yaml.AliasNode:
		return from + len("*") + len(y.Value)
	case y.Kind == yaml.ScalarNode && y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		return s.literalEnd(from, indent)
	case y.Kind == yaml.ScalarNode && y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		end, _ := closingQuote(s.text, from)
		return end + 1
	case y.Kind == yaml.ScalarNode:
		return s.plainEnd(from, y.Value)
	case y.Style&yaml.FlowStyle != 0:
		return s.flowEnd(y, from)
	case len(y.Content) == 0:
		return from
	case y.Kind == yaml.SequenceNode:
		indent = s.indentOf(y)
	default:
		indent = y.Content[0].Column - 1
	}
	return s.end(y.Content[len(y.Content)-1], indent)
}

// plainEnd follows an unquoted value, whose line breaks read as blanks.
func (s *scanned) plainEnd(at int, value string) int {
	for i := 0; i < len(value); {
		c := value[i]
		if c == ' ' || c == '\n' || c == '\t' {
			i++
			continue
		}
		for at < len(s.text) && s.text[at] != c {
			at++
		}
		at++
		i++
	}
	return min(at, len(s.text))
}

// literalEnd returns where a text over several lines, begun by | or >, ends: before the break of its last line.
func (s *scanned) literalEnd(from, indent int) int {
	end := s.lineEnd(from)
	for at := s.nextLine(from); at < len(s.text); at = s.nextLine(at) {
		switch in := s.indentAt(at); {
		case s.isBlank(at):
		case in <= indent:
			return end
		default:
			end = s.lineEnd(at)
		}
	}
	return end
}

// flowEnd returns the index behind the bracket that closes y.
func (s *scanned) flowEnd(y *yaml.Node, from int) int {
	at := from + 1
	if n := len(y.Content); n > 0 {
		at = s.end(y.Content[n-1], 0)
	}
	for at < len(s.text) && s.text[at] != ']' && s.text[at] != '}' {
		if at = s.past(at, len(s.text)); at < len(s.text) && s.text[at] != ']' && s.text[at] != '}' {
			at++
		}
	}
	return min(at+1, len(s.text))
}

// lineStart returns where the line of an index begins, lineEnd where its break stands, nextLine where the next begins.
func (s *scanned) lineStart(at int) int {
	for at > 0 && !isBreak(s.text[at-1]) {
		at--
	}
	return at
}

func (s *scanned) lineEnd(at int) int {
	for at < len(s.text) && !isBreak(s.text[at]) {
		at++
	}
	return at
}

func (s *scanned) nextLine(at int) int { return s.pastBreak(s.lineEnd(at)) }

// pastBreak passes over one line break.
func (s *scanned) pastBreak(at int) int {
	switch {
	case bytes.HasPrefix(s.text[at:], []byte("\r\n")):
		return at + 2
	case at < len(s.text) && isBreak(s.text[at]):
		return at + 1
	}
	return at
}

// beforeBreak goes back over one line break.
func (s *scanned) beforeBreak(at int) int {
	switch {
	case bytes.HasSuffix(s.text[:at], []byte("\r\n")):
		return at - 2
	case at > 0 && isBreak(s.text[at-1]):
		return at - 1
	}
	return at
}

// indentAt returns the number of blanks a line begins with.
func (s *scanned) indentAt(lineStart int) int {
	rest := s.text[lineStart:]
	return len(rest) - len(bytes.TrimLeft(rest, " "))
}

// isBlank reports whether a line has nothing in it.
func (s *scanned) isBlank(lineStart int) bool {
	return len(bytes.TrimSpace(s.text[lineStart:s.lineEnd(lineStart)])) == 0
}

// isFirst reports whether nothing but blanks stands before an index on its line.
func (s *scanned) isFirst(at int) bool {
	return len(bytes.TrimSpace(s.text[s.lineStart(at):at])) == 0
}

// indentOf returns the indentation of a list or map laid out by indentation.
func (s *scanned) indentOf(y *yaml.Node) int {
	switch {
	case y.Kind == yaml.MappingNode && len(y.Content) > 0:
		return y.Content[0].Column - 1
	case y.Kind == yaml.SequenceNode && len(y.Content) > 0:
		at, ok := s.dash(y.Content[0])
		if !ok {
			return y.Column - 1
		}
		return len([]rune(string(s.text[s.lineStart(at):at])))
	}
	return y.Column - 1
}

// dash returns where the dash before an item stands.
func (s *scanned) dash(item *yaml.Node) (int, bool) {
	at := s.begin(item)
	for line := s.lineStart(at); ; {
		if before := bytes.TrimRight(s.withoutComment(line, at), " \t"); len(before) > 0 {
			end := line + len(before) - 1
			return end, s.text[end] == '-'
		}
		if line == 0 {
			return 0, false
		}
		at = s.beforeBreak(line)
		line = s.lineStart(at)
	}
}

// withoutComment returns the text from an index to another but for a comment at its end. No quoted text may lie between.
func (s *scanned) withoutComment(from, to int) []byte {
	for i := from; i < to; i++ {
		if s.text[i] == '#' && s.isComment(i) {
			return s.text[from:i]
		}
	}
	return s.text[from:to]
}

// colon returns the index behind the colon that follows a key.
func (s *scanned) colon(key *yaml.Node) (int, error) {
	at := s.past(s.end(key, 0), len(s.text))
	if at >= len(s.text) || s.text[at] != ':' {
		return 0, fmt.Errorf("the key at line %d has no colon behind it; change it in a text editor", key.Line)
	}
	return at + 1, nil
}

// extent returns where the lines that end with the value ending at end come to an end, before the break: the rest of
// its line, and the comments below that are indented deeper than indent and so belong to it.
func (s *scanned) extent(end, indent int) int {
	end = s.lineEnd(end)
	for at := s.pastBreak(end); at > end && at < len(s.text); at = s.pastBreak(end) {
		in := s.indentAt(at)
		if in <= indent || at+in >= len(s.text) || s.text[at+in] != '#' {
			break
		}
		end = s.lineEnd(at)
	}
	return end
}

// lineBreak returns the line break the file uses.
func (s *scanned) lineBreak() string {
	switch i := bytes.IndexAny(s.text, "\r\n"); {
	case i < 0:
		return "\n"
	default:
		return string(s.text[i:s.pastBreak(i)])
	}
}

func blanks(n int) string { return strings.Repeat(" ", n) }
