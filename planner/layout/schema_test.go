package layout

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"gopkg.in/yaml.v3"
)

var update = flag.Bool("update", false, "rewrite the format page, the schema and the expected messages")

// compiled returns the schema as an independent validator reads it.
func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("layout.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("layout.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// instance turns YAML text into what the validator takes; false where it is not even that.
func instance(t *testing.T, text []byte) (any, bool) {
	t.Helper()
	var v any
	if yaml.Unmarshal(text, &v) != nil {
		return nil, false
	}
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	out, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return out, true
}

func TestSchemaAcceptsGoodExamples(t *testing.T) {
	schema := compiled(t)
	for _, r := range Table() {
		if r.isLater() {
			continue
		}
		ex := layoutWith(t, r, r.Good)
		if v, ok := instance(t, ex.text); !ok || schema.Validate(v) != nil {
			t.Errorf("%s: %s: %v", r.Path, r.Good, schema.Validate(v))
		}
	}
}

func TestSchemaAcceptsLayouts(t *testing.T) {
	schema := compiled(t)
	samples, err := filepath.Glob("../../layouts/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	good, err := filepath.Glob("testdata/good/*.yaml")
	if err != nil || len(good) < 3 {
		t.Fatal(good, err)
	}
	for _, name := range append(samples, good...) {
		text := readFile(t, name)
		if _, list := Parse(name, text); len(list) > 0 {
			t.Errorf("%v", list)
		}
		if v, ok := instance(t, text); !ok || schema.Validate(v) != nil {
			t.Errorf("%s: %v", name, schema.Validate(v))
		}
	}
}

// beyondSchema are the words of messages about what a schema cannot judge: size, order, references.
var beyondSchema = []string{"out of bounds", "runs backwards", "there is no state", "is empty", "by some readers", "does not say what its sensors share"}

// The schema refuses every bad example that is wrong in form and not only in size, order or reference.
func TestSchemaRefusesBadExamples(t *testing.T) {
	schema := compiled(t)
	for _, r := range Table() {
		ex := layoutWith(t, r, r.Bad)
		v, ok := instance(t, ex.text)
		if !ok {
			continue
		}
		_, list := Parse("bad.yaml", ex.text)
		judged := true
		for _, words := range beyondSchema {
			judged = judged && !strings.Contains(list[0].Wrong, words)
		}
		if refused := schema.Validate(v) != nil; judged && !refused {
			t.Errorf("%s: %s accepted by the schema; the loader says %v", r.Path, r.Bad, list)
		}
	}
}

// The committed page and schema are those that the table makes.
func TestCommittedFilesAreCurrent(t *testing.T) {
	for name, want := range map[string][]byte{"FORMAT.md": FormatPage(), "layout.schema.json": Schema()} {
		path := filepath.Join("..", "..", "layouts", name)
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what the table makes; run go test ./planner/layout -update", path)
		}
	}
}

// Every key of the table is on the page.
func TestPageNamesEveryKey(t *testing.T) {
	page := string(FormatPage())
	for _, r := range Table() {
		if !strings.Contains(page, "`"+r.Path+"`") {
			t.Errorf("%s is not on the page", r.Path)
		}
	}
}
