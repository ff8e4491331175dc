package undo

import (
	"math/rand/v2"
	"testing"
)

func TestGestureIsOneEntry(t *testing.T) {
	l := New("a", 100)
	for _, s := range []string{"b", "c", "d"} {
		l.Drag("move", s)
	}
	l.Close()
	l.Drag("move", "e")
	if l.Undo() != "move" || l.Now() != "d" || l.Undo() != "move" || l.Now() != "a" || l.Undo() != "" {
		t.Fatalf("two gestures are not two entries: %q", l.Now())
	}
	if l.Redo() != "move" || l.Now() != "d" {
		t.Fatalf("redo gives %q", l.Now())
	}
	l.Do("type", "f")
	if l.Redo() != "" || l.Redoes() != "" {
		t.Fatal("a new change leaves what was undone")
	}
}

func TestNothingHappened(t *testing.T) {
	l := New("a", 100)
	l.Do("type", "a")
	l.Drag("move", "b")
	l.Drag("move", "a")
	l.Close()
	if l.Undoes() != "" || l.Dirty() {
		t.Fatal("a change to the same is an entry")
	}
	l.Drag("move", "b")
	l.Abandon()
	if l.Undoes() != "" || l.Now() != "a" {
		t.Fatal("an abandoned gesture leaves something")
	}
}

func TestSaved(t *testing.T) {
	l := New(1, 100)
	l.Do("x", 2)
	l.Saved(2)
	l.Do("x", 3)
	if !l.Dirty() {
		t.Fatal("3 is not what is saved")
	}
	if l.Undo(); l.Dirty() {
		t.Fatal("2 is what is saved")
	}
	if l.Undo(); !l.Dirty() {
		t.Fatal("1 is not what is saved")
	}
}

// Against the plain list of all states: undo and redo walk it, whatever was done before.
func TestAgainstList(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		l, list, at := New(0, 1000), []int{0}, 0
		for range 60 {
			switch r.IntN(4) {
			case 0, 1:
				s := r.IntN(5)
				if l.Do("x", s); s != list[at] {
					list, at = append(list[:at+1:at+1], s), at+1
				}
			case 2:
				if l.Undo() != "" {
					at--
				}
			case 3:
				if l.Redo() != "" {
					at++
				}
			}
			if l.Now() != list[at] || (l.Undoes() == "") != (at == 0) || (l.Redoes() == "") != (at == len(list)-1) {
				t.Fatalf("at %d of %v: %d", at, list, l.Now())
			}
		}
	}
}

func TestLimit(t *testing.T) {
	l := New(0, 3)
	for i := range 10 {
		l.Do("x", i+1)
	}
	n := 0
	for l.Undo() != "" {
		n++
	}
	if n != 3 || l.Now() != 7 {
		t.Fatalf("%d changes kept, back to %d", n, l.Now())
	}
}

// The bound may change on the way: what is beyond it goes with the next change, the oldest first.
func TestMost(t *testing.T) {
	l := New(0, 100)
	for k := 1; k <= 50; k++ {
		l.Do("a", k)
	}
	l.Most(10)
	l.Do("a", 51)
	n := 0
	for l.Undo() != "" {
		n++
	}
	if n != 10 || l.Now() != 41 {
		t.Errorf("%d changes back is %d", n, l.Now())
	}
	l.Most(0)
	l.Do("a", 99)
	if l.Undo() == "" || l.Now() != 41 || l.Undo() != "" {
		t.Error("one change is always kept")
	}
}
