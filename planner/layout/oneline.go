package layout

import (
	"bytes"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// oneLine writes a value on one line, as far as it can in the user's own writing; aliases are written out.
func (s *scanned) oneLine(y *yaml.Node, depth int) string {
	y = followed(y)
	switch {
	case depth > maxNest:
		return "null"
	case y.Kind == yaml.ScalarNode:
		return s.oneScalar(y)
	case y.Style&yaml.FlowStyle != 0:
		if raw := s.text[s.start(y):s.end(y, 0)]; !bytes.ContainsAny(raw, "\r\n#&*!") {
			return string(raw)
		}
	}
	var parts []string
	for n := range size(y) {
		if y.Kind == yaml.MappingNode {
			parts = append(parts, s.oneLine(y.Content[2*n], depth+1)+": "+s.oneLine(y.Content[2*n+1], depth+1))
			continue
		}
		parts = append(parts, s.oneLine(y.Content[n], depth+1))
	}
	if y.Kind == yaml.MappingNode {
		return "{" + strings.Join(parts, ", ") + "}"
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

func (s *scanned) oneScalar(y *yaml.Node) string {
	const styles = yaml.SingleQuotedStyle | yaml.DoubleQuotedStyle | yaml.LiteralStyle | yaml.FoldedStyle
	switch {
	case isNull(y):
		return "null"
	case y.Style&styles == 0 && plainText.MatchString(y.Value):
		return y.Value
	case y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0:
		if raw := s.text[s.start(y):s.end(y, 0)]; !bytes.ContainsAny(raw, "\r\n") {
			return string(raw)
		}
	}
	return strconv.Quote(y.Value)
}
