package plan

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
)

// Format is the value of Plan.Format; the number rises when a field changes its meaning.
const Format = "echowright plan 1"

// Write prints the plan as JSON, a line a field and a line an element of a list, the same bytes for the
// same plan. A figure that is not a number would not be JSON; it is refused with its place, since no
// figure of a plan may be one.
func (p *Plan) Write(w io.Writer) error {
	v := reflect.ValueOf(p).Elem()
	if at := notFinite(v, "plan"); at != "" {
		return fmt.Errorf("%s is not a finite number", at)
	}
	var b bytes.Buffer
	for i := range v.NumField() {
		name, _, optional := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		if optional && v.Field(i).IsZero() {
			continue
		}
		if b.Len() > 0 {
			b.WriteString(",\n")
		}
		fmt.Fprintf(&b, "%q: ", name)
		if err := field(&b, v.Field(i)); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(w, "{\n%s\n}\n", b.Bytes())
	return err
}

// field prints one value; a list as an element a line, never null.
func field(b *bytes.Buffer, v reflect.Value) error {
	if v.Kind() != reflect.Slice {
		data, err := json.Marshal(v.Interface())
		b.Write(data)
		return err
	}
	b.WriteString("[")
	for i := range v.Len() {
		data, err := json.Marshal(v.Index(i).Interface())
		if err != nil {
			return err
		}
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n ")
		b.Write(data)
	}
	b.WriteString("]")
	return nil
}

// notFinite returns the place of the first NaN or infinity in v, or "".
func notFinite(v reflect.Value, at string) string {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return at
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return notFinite(v.Elem(), at)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if bad := notFinite(v.Field(i), at+"."+v.Type().Field(i).Name); bad != "" {
				return bad
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if bad := notFinite(v.Index(i), fmt.Sprintf("%s[%d]", at, i)); bad != "" {
				return bad
			}
		}
	}
	return ""
}
