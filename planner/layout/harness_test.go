package layout

import (
	"bytes"
	"os"
	"slices"
	"strings"
	"testing"

	"gopkg.in/yaml.v3"
)

// example is a whole layout made round one value, and the lines that value stands on.
type example struct {
	text     []byte
	from, to int
}

func readFile(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func yamlNode(t testing.TB, text string) *yaml.Node {
	t.Helper()
	var doc yaml.Node
	if err := yaml.Unmarshal([]byte(text), &doc); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return doc.Content[0]
}

func valueOf(m *yaml.Node, key string) *yaml.Node {
	for i := 0; i+1 < len(m.Content); i += 2 {
		if m.Content[i].Value == key {
			return m.Content[i+1]
		}
	}
	return nil
}

func remove(m *yaml.Node, key string) {
	for i := 0; i+1 < len(m.Content); i += 2 {
		if m.Content[i].Value == key {
			m.Content = slices.Delete(m.Content, i, i+2)
			return
		}
	}
}

func put(m *yaml.Node, key string, v *yaml.Node) {
	remove(m, key)
	m.Content = append(m.Content, &yaml.Node{Kind: yaml.ScalarNode, Value: key}, v)
}

// layoutWith writes a layout in which the value at the rule's path is text and everything round it
// is as the table's own good examples have it.
func layoutWith(t testing.TB, r Rule, text string) example {
	root := yamlNode(t, string(readFile(t, "testdata/good/base.yaml")))
	leaf := yamlNode(t, text)
	place(t, root, layoutSpec, strings.Split(strings.ReplaceAll(r.Path, "[]", ".[]"), "."), leaf)
	// These two belong together across maps.
	switch r.Path {
	case "sensors[].count":
		put(valueOf(root, "sensors").Content[0], "at", yamlNode(t, "{from: front, spread: -200..200 mm}"))
	case "sensors[].at.spread":
		put(valueOf(root, "sensors").Content[0], "count", yamlNode(t, "3"))
	}
	unflow(root)
	var out bytes.Buffer
	enc := yaml.NewEncoder(&out)
	if err := enc.Encode(root); err != nil {
		t.Fatal(err)
	}
	return locate(t, out.Bytes(), r)
}

// unflow writes every map on lines of its own, so that a line tells the key.
func unflow(y *yaml.Node) {
	y.Style &^= yaml.FlowStyle
	for _, c := range y.Content {
		unflow(c)
	}
}

func place(t testing.TB, at *yaml.Node, s *spec, path []string, leaf *yaml.Node) {
	head, last := path[0], len(path) == 1
	if head == "[]" || head == "*" {
		i := len(at.Content) - 1
		if head == "[]" {
			i = 0
		}
		if last {
			at.Content[i] = leaf
		} else {
			place(t, at.Content[i], s.item, path[1:], leaf)
		}
		return
	}
	kid := s.kids[head]
	if !last {
		if v := valueOf(at, head); v == nil || v.Kind == yaml.ScalarNode {
			put(at, head, yamlNode(t, kid.Good))
		}
		place(t, valueOf(at, head), kid, path[1:], leaf)
	} else {
		put(at, head, leaf)
	}
	neighbours(t, at, s, head)
}

// neighbours makes the other keys of a map fit the one just put in.
func neighbours(t testing.TB, m *yaml.Node, s *spec, key string) {
	keep := []string{key}
	if c := s.kids[key].when; c.key != "" {
		keep = append(keep, c.key)
		v := valueOf(m, c.key)
		if len(c.values) > 0 && (v == nil || !slices.Contains(c.values, v.Value)) {
			put(m, c.key, yamlNode(t, c.values[0]))
		} else if v == nil {
			put(m, c.key, yamlNode(t, s.kids[c.key].Good))
		}
	}
	for _, g := range s.OneOf {
		for _, k := range g.Keys {
			if anyOf(keep, g.Keys) && !slices.Contains(keep, k) {
				remove(m, k)
			}
		}
	}
	for _, k := range s.order {
		c := s.kids[k].when
		if c.key == "" || k == key {
			continue
		}
		v := valueOf(m, c.key)
		fits := v != nil && (len(c.values) == 0 || slices.Contains(c.values, v.Value))
		if !fits {
			remove(m, k)
		} else if s.kids[k].Need && valueOf(m, k) == nil {
			put(m, k, yamlNode(t, s.kids[k].Good))
		}
	}
}

func anyOf(some, all []string) bool {
	return slices.ContainsFunc(some, func(k string) bool { return slices.Contains(all, k) })
}

// locate finds the lines of the value at the rule's path: from its key to before the next key.
func locate(t testing.TB, text []byte, r Rule) example {
	root := yamlNode(t, string(text))
	from, to := 0, bytes.Count(text, []byte("\n"))+1
	at := root
	for _, head := range strings.Split(strings.ReplaceAll(r.Path, "[]", ".[]"), ".") {
		i := 0
		switch head {
		case "[]":
		case "*":
			i = len(at.Content) - 1
		default:
			for at.Content[i].Value != head {
				i += 2
			}
			i++
		}
		next := i + 1
		from = at.Content[i].Line
		if at.Kind == yaml.MappingNode {
			from = at.Content[i-1].Line
		}
		if next < len(at.Content) {
			to = at.Content[next].Line - 1
		}
		at = at.Content[i]
	}
	return example{text, from, to}
}
