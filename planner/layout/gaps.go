package layout

import (
	"slices"

	"gopkg.in/yaml.v3"

	"echowright/planner/diag"
)

// findGaps finds the needed keys at the top that are not written, or written and empty, and what the list says of each.
func (d *Document) findGaps(list diag.List) {
	for _, key := range d.spec.order {
		s := d.spec.kids[key]
		if !s.Need || s.Form != List && s.Form != Map || slices.Contains(d.root.keys, key) {
			continue
		}
		at, wrong := d.gapAt(key)
		i := slices.IndexFunc(list, func(m diag.Diag) bool { return m.Line == at.Line && m.Col == at.Column && m.Wrong == wrong })
		if i >= 0 {
			d.gaps = append(d.gaps, Gap{key, list[i]})
		}
	}
}

// gapAt returns where a message about a key that is missing or empty stands, and its words.
func (d *Document) gapAt(key string) (at *yaml.Node, wrong string) {
	for i := 0; i+1 < len(d.top.Content); i += 2 {
		k, v := d.top.Content[i], followed(d.top.Content[i+1])
		switch {
		case k.Value != key:
		case isNull(v):
			return k, key + " has no value"
		default:
			return v, key + " has 0 items"
		}
	}
	return d.top, "the file has no " + key
}
