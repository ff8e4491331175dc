package instance

import (
	"bytes"
	"encoding/json"
	"testing"
)

// Text that is JSON throughout is cut into the tokens, at the places, that the decoder finds.
func FuzzCut(f *testing.F) {
	for _, s := range []string{
		`{"a":[1,-2.5e+3,true,false,null,"x","\"\\",{"b":{}}], "\u00e9\\u00e9" : [ ] }`, "\ufeff [1 , 2]", `"\\\\"`, "7", "1E5", "[0.0,-0]", "{}{}", "[1 2]", "",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		quick, err := newScanner([]byte(text))
		if err != nil || quick.dec != nil {
			return
		}
		slow := &scanner{data: quick.data, start: quick.start}
		slow.dec = json.NewDecoder(bytes.NewReader(quick.data[quick.start:]))
		slow.dec.UseNumber()
		for {
			a, at, err := quick.next("right")
			b, where, other := slow.next("right")
			if (err == nil) != (other == nil) || err != nil && err.Error() != other.Error() {
				t.Fatalf("%v, the decoder says %v", err, other)
			}
			if err != nil {
				return
			}
			if a != b || at != where {
				t.Fatalf("%#v at %d, the decoder says %#v at %d", a, at, b, where)
			}
		}
	})
}
