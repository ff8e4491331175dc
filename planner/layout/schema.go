package layout

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strings"

	"gopkg.in/yaml.v3"

	"echowright/planner/quantity"
)

// object is a JSON object; encoding/json writes its keys in order.
type object = map[string]any

const (
	numberPattern  = `[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?`
	namePattern    = `^[^0-9 ._,:#-][^.,:#]*$`
	mountedPattern = `^[^0-9 ._,:#-][^.,:#]*(\.(left|right|[1-9][0-9]{0,2}))?$`
)

// Schema returns the JSON Schema (draft 2020-12) of a layout for text editors, made from the table.
// It holds what can be said of each value and its neighbours by itself: keys, forms, units, which
// keys go together. Bounds, references and repeated names are left to Parse.
func Schema() []byte {
	root := layoutSpec.schema(false)
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["title"] = "Echowright layout"
	root["$defs"] = definitions()
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(root); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// definitions has each quantity as a value and as a span.
func definitions() object {
	defs := object{}
	for _, k := range quantity.Kinds() {
		units := unitPattern(k)
		defs[defName(k)] = object{"type": "string", "pattern": "^" + numberPattern + " *" + units + "$", "description": "Units: " + strings.Join(k.Units(), ", ")}
		defs[defName(k)+"-span"] = object{"type": "string", "pattern": "^" + numberPattern + "( *" + units + ")? *\\.\\. *" + numberPattern + " *" + units + "$", "description": "Units: " + strings.Join(k.Units(), ", ")}
	}
	return defs
}

func defName(k quantity.Kind) string { return strings.ReplaceAll(k.String(), " ", "-") }

func unitPattern(k quantity.Kind) string {
	var all []string
	for _, u := range k.Spellings() {
		all = append(all, regexp.QuoteMeta(u))
	}
	return "(" + strings.Join(all, "|") + ")"
}

// schema returns the schema of a value under s. inherits is true within kinds of module, where what
// a condition asks for may come from another kind.
func (s *spec) schema(inherits bool) object {
	if s.Later != "" && s.LaterWords == nil && s.LaterWithin == "" {
		return object{"not": object{}, "description": s.Doc + " Known, but " + s.Later + "."}
	}
	out := s.plainSchema(inherits)
	if s.Sourced {
		out = object{"anyOf": []any{out, s.mapSchema(inherits)}}
	}
	if s.Many {
		out = object{"anyOf": []any{out, object{"type": "array", "minItems": 1, "items": out}}}
	}
	if s.Doc != "" {
		out["description"] = s.Doc
	}
	if s.Default != "" {
		out["default"] = asJSON(s.Default)
	}
	return out
}

// asJSON turns an example of the table into what encoding/json writes.
func asJSON(text string) any {
	var v any
	if err := yaml.Unmarshal([]byte(text), &v); err != nil {
		panic(err)
	}
	return v
}

func (s *spec) plainSchema(inherits bool) object {
	switch s.Form {
	case Map:
		return s.mapSchema(inherits)
	case Named, BySensor:
		names := namePattern
		if s.Form == BySensor {
			names = mountedPattern
		}
		out := object{"type": "object", "propertyNames": object{"pattern": names}, "additionalProperties": s.item.schema(s.Path == "kinds")}
		return atMost(out, "maxProperties", s.Most)
	case List:
		out := object{"type": "array", "minItems": s.Least, "items": s.item.schema(inherits)}
		return atMost(out, "maxItems", s.Most)
	case Row:
		return s.rowSchema()
	case Text:
		return object{"type": "string", "minLength": 1}
	case Name:
		return object{"type": "string", "pattern": namePattern, "maxLength": longestName}
	case Mounted:
		return object{"type": "string", "pattern": mountedPattern}
	case Choice:
		return object{"enum": s.Words}
	case Whole:
		return object{"type": "integer", "minimum": s.lo, "maximum": s.hi}
	case OfMany:
		return object{"type": "string", "pattern": ofMany.String()}
	case Address:
		return object{"type": "integer", "minimum": s.lo, "maximum": s.hi}
	case Flag:
		return object{"type": "boolean"}
	}
	return s.quantitySchema()
}

// atMost adds a greatest number where there is one.
func atMost(o object, key string, most int) object {
	if most > 0 {
		o[key] = most
	}
	return o
}

func (s *spec) rowSchema() object {
	var items []any
	for _, k := range s.Units {
		items = append(items, reference(defName(k)))
	}
	return object{"type": "array", "prefixItems": items, "items": false, "minItems": len(items)}
}

func reference(def string) object { return object{"$ref": "#/$defs/" + def} }

func (s *spec) quantitySchema() object {
	var ways []any
	for _, k := range s.Units {
		switch {
		case s.Form == Quantity && len(s.Words) > 0:
			words := "( (" + strings.Join(s.Words, "|") + "))"
			if !s.Must {
				words += "?"
			}
			ways = append(ways, object{"type": "string", "pattern": "^" + numberPattern + " *" + unitPattern(k) + words + "$"})
		case s.Form == Quantity:
			ways = append(ways, reference(defName(k)))
		default:
			ways = append(ways, reference(defName(k)+"-span"))
			if s.Single {
				ways = append(ways, reference(defName(k)))
			}
		}
	}
	if len(s.Instead) > 0 {
		ways = append(ways, object{"enum": s.Instead})
	}
	if len(ways) == 1 {
		return ways[0].(object)
	}
	return object{"anyOf": ways}
}

func (s *spec) mapSchema(inherits bool) object {
	props := object{}
	var required []string
	var all []any
	dependent := object{}
	for _, key := range s.order {
		kid := s.kids[key]
		props[key] = kid.schema(inherits)
		if kid.when.key == "" {
			if kid.Need {
				required = append(required, key)
			}
			continue
		}
		dependent[key] = kid.when.schema(!inherits)
		if kid.Need {
			all = append(all, object{"if": kid.when.schema(true), "then": object{"required": []string{key}}})
		}
	}
	for _, g := range s.OneOf {
		all = append(all, g.schema()...)
	}
	out := object{"type": "object", "properties": props, "additionalProperties": false}
	if len(required) > 0 {
		out["required"] = required
	}
	if len(dependent) > 0 {
		out["dependentSchemas"] = dependent
	}
	if len(all) > 0 {
		out["allOf"] = all
	}
	return out
}

// schema says that the sibling of c is as c asks, and there where there is true.
func (c condition) schema(there bool) object {
	out := object{}
	if there {
		out["required"] = []string{c.key}
	}
	if len(c.values) > 0 {
		out["properties"] = object{c.key: object{"enum": c.values}}
	}
	return out
}

// schema says that no two of the keys stand together, and that one of them is there.
func (a Alternatives) schema() []any {
	var out []any
	for i, k := range a.Keys {
		for _, other := range a.Keys[i+1:] {
			out = append(out, object{"not": object{"required": []string{k, other}}})
		}
	}
	if a.AtMost {
		return out
	}
	var one []any
	for _, k := range a.Keys {
		one = append(one, object{"required": []string{k}})
	}
	return append(out, object{"anyOf": one})
}
