package recall

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
)

type inner struct {
	Name string
	at   r2.Point
}

type value struct {
	N     int
	X     float64
	Rings [][]r2.Point
	Words []string
	P     *inner
	flag  bool
	Three [3]uint8
}

func full() value {
	return value{
		N: 3, X: math.NaN(), Rings: [][]r2.Point{{{X: 1, Y: 2}, {X: 3, Y: 4}}, {{X: 5, Y: 6}}}, Words: []string{"ab", "c"},
		P: &inner{Name: "p", at: r2.Point{X: 7}}, flag: true, Three: [3]uint8{1, 2, 3},
	}
}

// Values made twice have one key, NaN and what pointers lead to included; any one thing different makes another.
func TestKeyTellsEveryValue(t *testing.T) {
	want := Of(full())
	if Of(full()) != want {
		t.Fatal("equal values, different keys")
	}
	changes := map[string]func(v *value){
		"number":       func(v *value) { v.N++ },
		"float":        func(v *value) { v.X = 0 },
		"point":        func(v *value) { v.Rings[0][1].Y = math.Nextafter(4, 5) },
		"zero's sign":  func(v *value) { v.P.at.Y = math.Copysign(0, -1) },
		"ring moved":   func(v *value) { v.Rings = [][]r2.Point{{{X: 1, Y: 2}}, {{X: 3, Y: 4}, {X: 5, Y: 6}}} },
		"word border":  func(v *value) { v.Words = []string{"a", "bc"} },
		"word joined":  func(v *value) { v.Words = []string{"abc"} },
		"behind":       func(v *value) { v.P.Name = "q" },
		"inside":       func(v *value) { v.P.at.X = 8 },
		"nil":          func(v *value) { v.P = nil },
		"flag":         func(v *value) { v.flag = false },
		"array":        func(v *value) { v.Three[2] = 4 },
		"ring emptied": func(v *value) { v.Rings[1] = nil },
	}
	seen := map[Key]string{want: "none"}
	for name, change := range changes {
		v := full()
		change(&v)
		k := Of(v)
		if other, twice := seen[k]; twice {
			t.Errorf("%s has the key of %s", name, other)
		}
		seen[k] = name
	}
	if Of(1, 2) == Of(2, 1) || Of("a", "bc") == Of("ab", "c") || Of(Of(1), 2) == Of(Of(2), 2) {
		t.Error("order or borders of values do not count")
	}
}

func TestKeyRefusesWhatHasNoValue(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a function has a key")
		}
	}()
	Of(struct{ F func() }{})
}

// A Book knows what this scene and the two before used, and no more.
func TestBookForgets(t *testing.T) {
	var b Book[int]
	made := 0
	ask := func(n int) int {
		return b.Of(Of(n), func() int { made++; return 10 * n })
	}
	for range 3 {
		if ask(1) != 10 || ask(2) != 20 {
			t.Fatal("wrong result")
		}
	}
	if made != 2 {
		t.Fatalf("made %d, asked for 2", made)
	}
	for range 5 { // 1 stays in use, 2 does not
		b.Turn()
		ask(1)
	}
	if made != 2 || b.Len() != 1 {
		t.Errorf("made %d, %d kept", made, b.Len())
	}
	ask(2)
	if made != 3 {
		t.Error("what five scenes did not use is still there")
	}
	b.Turn()
	b.Turn()
	ask(2)
	if made != 3 {
		t.Error("what the last scene but one used is forgotten")
	}
	if b.Of(Key{}, func() int { return 7 }) != 7 || b.Of(Key{}, func() int { return 8 }) != 8 {
		t.Error("something is found by no key")
	}
}
