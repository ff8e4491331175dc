package layout

import (
	"regexp"
	"strconv"
	"strings"

	"gopkg.in/yaml.v3"
)

// Set returns the document with one value changed: the value at a path as [Entry.Path] gives it is
// replaced by text, and every other byte (comments, order, blank lines, line ends) stays. It is
// [Document.Change] with one [Set] that also refuses an outcome with any fault: the error then is the [diag.List].
func (d *Document) Set(path, text string) (*Document, error) {
	changed, list, err := d.Change(Edit{Do: Set, Path: path, Text: text})
	switch {
	case err != nil:
		return nil, err
	case list.HasErrors():
		return nil, list
	}
	return changed, nil
}

func isFlow(text string) bool { return strings.HasPrefix(text, "[") || strings.HasPrefix(text, "{") }

// at returns the spec that steps lead to below s, nil when they lead nowhere in the table.
func (s *spec) at(steps []string) *spec {
	for len(steps) > 0 {
		step := steps[0]
		if s == nil {
			return nil
		}
		if steps = steps[1:]; s.Form == BySensor && len(steps) > 0 { // "bow.1" is one name
			steps = steps[1:]
		}
		next := s.kids[step]
		if next == nil && s.byName() {
			next = s.item
		}
		if next == nil {
			return nil
		}
		s = next
	}
	return s
}

// plainText is what may stand without quotes anywhere, in brackets too.
var plainText = regexp.MustCompile(`^[\pL\pN.+-][\pL\pN ._+%/²³°µ-]*$`)

// asYAML writes a value as YAML on one line.
func asYAML(s *spec, text string) string {
	if isFlow(text) {
		return text
	}
	plain := plainText.MatchString(text) && !strings.HasPrefix(text, "- ") && text != "-" && strings.TrimSpace(text) == text
	if plain && (s == nil || s.Form == Text || s.Form == Name || s.Form == Mounted) {
		var y yaml.Node
		plain = yaml.Unmarshal([]byte(text), &y) == nil && len(y.Content) == 1 && y.Content[0].Kind == yaml.ScalarNode && readAs(y.Content[0]) == ""
	}
	if plain {
		return text
	}
	return strconv.Quote(text)
}
