package layout

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever the bytes: no panic; a document or messages; every message one line with a place in the file.
func FuzzParse(f *testing.F) {
	for _, dir := range []string{"testdata/bad/*.yaml", "testdata/good/*.yaml", "../../layouts/*.yaml"} {
		files, err := filepath.Glob(dir)
		if err != nil {
			f.Fatal(err)
		}
		for _, name := range files {
			f.Add(readFile(f, name))
		}
	}
	for _, s := range statements {
		f.Add([]byte(s.good))
		f.Add([]byte(s.bad))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) + 1
		for _, parse := range []func(string, []byte) (*Document, error){
			func(n string, d []byte) (*Document, error) { doc, l := Parse(n, d); return doc, l },
			func(n string, d []byte) (*Document, error) { doc, l := ParseKinds(n, d); return doc, l },
		} {
			doc, err := parse("f", data)
			if text := err.Error(); (doc == nil) != (text != "") {
				t.Fatalf("document %v with messages %q", doc != nil, text)
			}
			if doc != nil && !bytes.Equal(doc.Bytes(), data) {
				t.Fatal("the bytes changed")
			}
		}
		_, list := Parse("f", data)
		for _, d := range list {
			if d.Line < 1 || d.Line > lines || d.Col < 1 || d.Col > len(data)+2 {
				t.Fatalf("%v is outside the file", d)
			}
			if d.Right == "" || strings.ContainsAny(d.String(), "\n\r\x1b\x00") {
				t.Fatalf("a message of several lines or without help: %q", d)
			}
		}
	})
}
