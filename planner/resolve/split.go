package resolve

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"echowright/planner/layout"
	"echowright/planner/quantity"
)

// Split returns the edits by which a counted or mirrored entry of sensors, such as "sensors.bow", becomes as many single ones
// at the very same places, turns and heights (to 1e-12 m, for the sake of figures a person can read), so that one of them can be changed alone, and the names of those, in the
// order of the scene. Wires and wishes that speak of the entry or of one of its sensors go on doing so. An entry that is single
// already needs no edits.
func Split(doc, kinds *layout.Document, entry string) (edits []layout.Edit, names []string, err error) {
	e, ok := doc.Root().Get(entry)
	own, named := e.Get("name")
	if !ok || !named || !strings.HasPrefix(entry, "sensors.") {
		return nil, nil, fmt.Errorf("there is no entry %s of sensors", entry)
	}
	if !e.Has("count") && !e.Has("pair") {
		return nil, []string{own.Text()}, nil
	}
	s := splitter{r: newResolver(doc, kinds), e: e, entry: entry}
	s.r.body()
	faults := len(s.r.diags)
	if !s.find() || len(s.r.diags) > faults {
		return nil, nil, fmt.Errorf("%s has faults; mend them first", entry)
	}
	names = s.names(own.Text())
	return slices.Concat(s.entries(names), s.wires(own.Text(), names), s.refresh(own.Text(), names)), names, nil
}

// splitter takes one entry apart.
type splitter struct {
	r     *resolver
	e     layout.Entry
	entry string
	at    []mount
	image []bool // it is the mirror image
}

// find finds the places, in the order of the scene.
func (s *splitter) find() bool {
	if s.e.Faulty() {
		return false
	}
	s.at = s.r.mounts(s.e)
	s.image = make([]bool, len(s.at))
	if s.e.Has("pair") && len(s.at) == 2 {
		s.image[1] = true
		if s.at[0].at.Y < s.at[1].at.Y {
			slices.Reverse(s.at)
			slices.Reverse(s.image)
		}
	}
	return len(s.at) > 0
}

// names finds a free name for each.
func (s *splitter) names(own string) (names []string) {
	taken := map[string]bool{}
	for _, e := range s.r.list(s.r.doc, "sensors") {
		if n, ok := e.Get("name"); ok && e != s.e {
			taken[n.Text()] = true
		}
	}
	for i := range s.at {
		end := strconv.Itoa(i + 1)
		if s.e.Has("pair") {
			end = []string{"left", "right"}[i]
		}
		const longest = 50
		stem := own
		if r := []rune(stem); len(r) > longest {
			stem = strings.TrimSpace(string(r[:longest]))
		}
		name := stem + "-" + end
		for n := 'b'; taken[name]; n++ {
			name = stem + "-" + string(n) + "-" + end
		}
		taken[name] = true
		names = append(names, name)
	}
	return names
}

// entries changes the entry into the first of them and puts the others behind it.
func (s *splitter) entries(names []string) (edits []layout.Edit) {
	for i := len(names) - 1; i > 0; i-- {
		edits = append(edits, layout.Edit{Do: layout.Add, Path: "sensors", Text: s.whole(i, names[i]), After: s.e.Key()})
	}
	for _, key := range []string{"pair", "count"} {
		if s.e.Has(key) {
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: s.entry + "." + key})
		}
	}
	for _, key := range []string{"at", "heading"} {
		if was, now := s.written(key), s.value(key, 0); was != now {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: s.entry + "." + key, Text: now})
		}
	}
	return append(edits, layout.Edit{Do: layout.Set, Path: s.entry + ".name", Text: names[0]})
}

// whole writes the ith as an entry.
func (s *splitter) whole(i int, name string) string {
	var parts []string
	for _, key := range s.e.Keys() {
		switch key {
		case "pair", "count":
		case "name":
			parts = append(parts, "name: "+name)
		default:
			parts = append(parts, key+": "+s.value(key, i))
		}
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// written is the value of a key as the entry has it.
func (s *splitter) written(key string) string {
	v, _ := s.e.Get(key)
	return v.Written()
}

// value is the value of a key for the ith.
func (s *splitter) value(key string, i int) string {
	switch {
	case key == "at":
		return s.place(i)
	case key == "heading" && s.image[i]:
		return s.turned()
	}
	return s.written(key)
}

// turned is the heading of a mirror image: the same turn the other way, but where a word says which way is meant on
// either side.
func (s *splitter) turned() string {
	h, ok := s.e.Get("heading")
	was := s.written("heading")
	if !ok || h.Num() == 0 || h.Word() == "outward" || h.Word() == "inward" {
		return was
	}
	if h.Word() != "" {
		return quantity.Format(quantity.Angle, -h.Num()) + " " + h.Word()
	}
	return quantity.Format(quantity.Angle, -h.Num())
}

// place says where the ith stands: as the entry does where that is it, else in the same manner where that comes to the
// very same place, else by arc length.
func (s *splitter) place(i int) string {
	m := s.at[i]
	at, _ := s.e.Get("at")
	if !s.image[i] && !at.Has("spread") {
		return at.Written()
	}
	if m.free {
		return fmt.Sprintf("{place: [%s, %s]}", exact(m.at.X), exact(m.at.Y))
	}
	if from, ok := at.Get("from"); ok {
		if text, ok := s.fromSide(from.Text(), m); ok {
			return text
		}
	}
	return "{arc: " + exact(m.arcM) + "}"
}

// mirrorSide is the side on the other hand.
var mirrorSide = map[string]string{"front": "front", "rear": "rear", "left": "right", "right": "left"}

// fromSide says a place by an offset from a side of the outline, false where that does not come to it exactly.
func (s *splitter) fromSide(from string, m mount) (string, bool) {
	key, offset := "left", m.at.Y
	if s.e.Has("pair") {
		from = mirrorSide[from]
	}
	if from == "left" || from == "right" {
		key, offset = "forward", m.at.X
	}
	for _, x := range []float64{round(offset, 1e-4), offset} {
		arc, err := s.r.outline.OnSide(sides[from], x)
		if err != nil {
			continue
		}
		if onOutline(s.r.outline, arc).like(m) {
			if x == 0 {
				return "{from: " + from + "}", true
			}
			return "{from: " + from + ", " + key + ": " + quantity.Format(quantity.Length, x) + "}", true
		}
	}
	return "", false
}

// sameTol is what two places may differ by and still be the very same, m and rad: rounding, no more.
const sameTol = 1e-12

// like reports whether two mounts on the outline are the very same.
func (m mount) like(o mount) bool {
	return m.at.Sub(o.at).Norm() <= sameTol && math.Abs(m.arcM-o.arcM) <= sameTol && math.Abs((m.facing-o.facing).Normalized().Radians()) <= sameTol
}

// exact writes a length to its last digit that tells.
func exact(x float64) string {
	if near := round(x, 1e-7); math.Abs(near-x) <= sameTol {
		x = near
	}
	return quantity.Format(quantity.Length, x)
}

// wires lets the wires speak of the single ones.
func (s *splitter) wires(own string, names []string) (edits []layout.Edit) {
	for _, w := range s.r.list(s.r.doc, "wires") {
		refs, _ := w.Get("sensors")
		var out []string
		speaks := false
		for _, ref := range refs.List() {
			mine := s.spokenOf(ref.Text(), own, names)
			if mine == nil {
				out = append(out, ref.Written())
				continue
			}
			speaks = true
			out = append(out, mine...)
		}
		if speaks {
			edits = append(edits, layout.Edit{Do: layout.Set, Path: w.Path() + ".sensors", Text: "[" + strings.Join(out, ", ") + "]"})
		}
	}
	return edits
}

// refresh lets the wishes for how often sensors fire speak of the single ones.
func (s *splitter) refresh(own string, names []string) (edits []layout.Edit) {
	all := s.r.list(group(s.r.doc, "wishes"), "refresh")
	for _, e := range all {
		mine := s.spokenOf(e.Key(), own, names)
		for _, name := range mine {
			edits = append(edits, layout.Edit{Do: layout.Add, Path: "wishes.refresh", Text: name + ": " + e.Written()})
		}
		if mine != nil {
			edits = append(edits, layout.Edit{Do: layout.Remove, Path: e.Path()})
		}
	}
	return edits
}

// spokenOf are the new names of what a name spoke of, nil where that is another entry's.
func (s *splitter) spokenOf(name, own string, names []string) []string {
	entry, which, one := strings.Cut(name, ".")
	switch {
	case entry != own:
		return nil
	case one:
		return s.which(which, names)
	}
	return names
}

// which returns the new name of the one that was called so within the entry, nil when there is none.
func (s *splitter) which(old string, names []string) []string {
	for i, name := range names {
		if s.e.Has("pair") && old == []string{"left", "right"}[i] || s.e.Has("count") && old == strconv.Itoa(i+1) {
			return []string{name}
		}
	}
	return nil
}
