package layout

import (
	"bytes"
	"fmt"
	"strings"

	"echowright/planner/diag"
	"echowright/planner/quantity"
)

// FormatPage returns the page about the layout format in Markdown, made from the table.
func FormatPage() []byte {
	var b bytes.Buffer
	b.WriteString(pageHead)
	writeStatements(&b)
	writeUnits(&b)
	section := ""
	for _, r := range Table() {
		if r.isLater() {
			continue
		}
		if top := topKey(r); top != section {
			section = top
			heading(&b, section)
		}
		writeRule(&b, r)
	}
	writeLater(&b)
	return b.Bytes()
}

const pageHead = `# The layout file

This page is made from the same table as the checks of the loader and as ` + "`layout.schema.json`" + ` for text editors.
A layout is YAML text in UTF-8, at most 1 MiB, with the keys below. In a path, ` + "`*`" + ` is a name of your own and ` + "`[]`" + ` any item of
a list. Keys marked **needed** must be there; of the others the page says what is taken when they are left out.
All faults of a file are reported at once, each as FILE:LINE:COL: what is wrong; what would be right.

`

// heading begins the section of a key at the top of the file.
func heading(b *bytes.Buffer, key string) {
	fmt.Fprintf(b, "\n## `%s`\n\n| key | written as | left out | meaning | good | bad |\n|---|---|---|---|---|---|\n", key)
}

func topKey(r Rule) string {
	top, _, _ := strings.Cut(r.Path, ".")
	return strings.TrimSuffix(top, "[]")
}

func (r Rule) isLater() bool { return r.Later != "" && r.LaterWords == nil && r.LaterWithin == "" }

func writeStatements(b *bytes.Buffer) {
	b.WriteString("## The whole file\n\n")
	for _, s := range statements {
		fmt.Fprintf(b, "- %s\n  Good: %s Bad: %s\n", s.text, fragment(s.good), fragment(s.bad))
	}
}

// fragment shows keys of a layout inside a sentence; line breaks and tabs are shown as signs.
func fragment(s string) string {
	return "`" + strings.NewReplacer("\n", " ⏎ ", "\t", "⇥").Replace(s) + "`"
}

func writeUnits(b *bytes.Buffer) {
	b.WriteString("\n## Units\n\n| quantity | units | never beyond |\n|---|---|---|\n")
	for _, k := range quantity.Kinds() {
		_, _, text := k.Bounds()
		fmt.Fprintf(b, "| %s | %s | %s |\n", k, strings.Join(k.Units(), ", "), text)
	}
}

func writeRule(b *bytes.Buffer, r Rule) {
	fmt.Fprintf(b, "| `%s` | %s | %s | %s | `%s` | `%s` |\n", r.Path, cell(r.writtenAs()), cell(r.leftOut()), cell(r.Doc), r.Good, r.Bad)
}

// cell keeps a text within its cell of a table.
func cell(s string) string { return strings.ReplaceAll(s, "|", "\\|") }

// writtenAs says how the value is written.
func (r Rule) writtenAs() string {
	s := prepare(r)
	text := r.plainForm(s)
	if len(r.Instead) > 0 {
		text += ", or " + diag.Join(r.Instead)
	}
	switch {
	case r.Sourced && r.Form == Quantity:
		text += "; or {value, spread, source}"
	case r.Sourced:
		text += "; or {value, source}"
	}
	if r.Many {
		text += "; or a list of them"
	}
	for _, g := range r.OneOf {
		which := "exactly one of "
		if g.AtMost {
			which = "at most one of "
		}
		text += "; " + which + strings.Join(g.Keys, ", ")
	}
	return text
}

func (r Rule) plainForm(s *spec) string {
	switch r.Form {
	case Map:
		return "map"
	case Named:
		return fmt.Sprintf("at most %d names of your own with a map each", r.Most)
	case BySensor:
		return fmt.Sprintf("at most %d names of sensors or of their entries with a value each", r.Most)
	case List:
		if r.Least > 0 && r.Most > 0 {
			return fmt.Sprintf("list of %d to %d", r.Least, r.Most)
		}
		if r.Most > 0 {
			return fmt.Sprintf("list of at most %d", r.Most)
		}
		return "list"
	case Text:
		return "text"
	case Name:
		return "name"
	case Mounted:
		return "name of an entry of sensors, or of one sensor"
	case Choice:
		return diag.Join(r.Words)
	case Whole:
		return "whole number, " + s.bounded()
	case OfMany:
		return fmt.Sprintf("two whole numbers, m of n, at most %.0f", s.hi)
	case Address:
		return "address, " + s.within
	case Flag:
		return "true or false"
	case Row:
		names := make([]string, len(r.Units))
		for i, k := range r.Units {
			names[i] = k.String()
		}
		return "[" + strings.Join(names, ", ") + "]" + r.bounds()
	case Span:
		if r.Single {
			return fmt.Sprintf("span of %s, or one value%s", r.Units[0], r.bounds())
		}
		return fmt.Sprintf("span of %s%s", r.Units[0], r.bounds())
	}
	return r.quantityForm() + r.bounds()
}

func (r Rule) quantityForm() string {
	names := make([]string, len(r.Units))
	for i, k := range r.Units {
		names[i] = k.String()
	}
	text := diag.Join(names)
	switch {
	case r.Must:
		text += " followed by " + diag.Join(r.Words)
	case len(r.Words) > 0:
		text += ", may be followed by " + diag.Join(r.Words)
	}
	return text
}

func (r Rule) bounds() string {
	if r.Within == "" {
		return ""
	}
	return ", within " + r.Within
}

// leftOut says what happens when the key is not there.
func (r Rule) leftOut() string {
	var parts []string
	if r.Key() == "" {
		return ""
	}
	if r.When != "" {
		parts = append(parts, "only with "+prepare(r).when.String())
	}
	switch {
	case r.Need:
		parts = append(parts, "**needed**")
	case r.Default != "":
		parts = append(parts, r.Default)
	}
	return strings.Join(parts, "; ")
}

func writeLater(b *bytes.Buffer) {
	b.WriteString("\n## Known, not worked out yet\n\nThese keys and values are refused with a plain word until they do what they say.\n\n| key | value | why |\n|---|---|---|\n")
	for _, r := range Table() {
		if r.Later == "" {
			continue
		}
		value := "any"
		if r.LaterWords != nil {
			value = diag.Join(r.LaterWords)
		} else if r.LaterWithin != "" {
			value = r.LaterWithin
		}
		fmt.Fprintf(b, "| `%s` | %s | %s |\n", r.Path, value, r.Later)
	}
}
