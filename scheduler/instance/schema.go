package instance

import (
	"bytes"
	"encoding/json"
)

// Schema returns the JSON Schema of the whole problem, made from the table that the reader follows. What
// it cannot say, such as that a window closes after it opens, only the reader refuses.
func Schema() []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	s := schemaOf(whole, "Jobs to be fired for ever, once each per cycle or as often as asked; all times in whole microseconds.")
	s.Schema, s.Title = "https://json-schema.org/draft/2020-12/schema", "A problem for the scheduler"
	if err := e.Encode(s); err != nil {
		panic(err) // plain data always encodes
	}
	return b.Bytes()
}

// schema holds the words of JSON Schema used here, in the order in which they are printed.
type schema struct {
	Schema      string             `json:"$schema,omitempty"`
	Title       string             `json:"title,omitempty"`
	Description string             `json:"description,omitempty"`
	Type        string             `json:"type"`
	Enum        []string           `json:"enum,omitempty"`
	Minimum     *int64             `json:"minimum,omitempty"`
	Maximum     *int64             `json:"maximum,omitempty"`
	MinItems    int64              `json:"minItems,omitempty"`
	MaxItems    int64              `json:"maxItems,omitempty"`
	Items       *schema            `json:"items,omitempty"`
	Properties  map[string]*schema `json:"properties,omitempty"`
	Required    []string           `json:"required,omitempty"`
	Additional  *bool              `json:"additionalProperties,omitempty"`
}

func schemaOf(f form, doc string) *schema {
	s := &schema{Description: doc}
	switch f.kind {
	case number:
		s.Type, s.Minimum, s.Maximum = "integer", &f.lo, &f.hi
	case text:
		s.Type, s.Enum = "string", f.enum
	case list:
		s.Type, s.MinItems, s.MaxItems, s.Items = "array", f.lo, f.hi, schemaOf(*f.of, "")
	case object:
		no := false
		s.Type, s.Properties, s.Additional = "object", map[string]*schema{}, &no
		for _, g := range f.fields {
			s.Properties[g.key] = schemaOf(g.form, g.doc)
			if g.required {
				s.Required = append(s.Required, g.key)
			}
		}
	}
	return s
}
