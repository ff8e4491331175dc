package widget

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
)

// tipAt is where the tip stands.
func (s *stage) tipAt() (at canvas.Rect, ok bool) {
	for _, l := range s.b.Layers(s.items) {
		if l.Name == "tip" {
			return bounds(s.b, l.Shapes[0]), true
		}
	}
	return at, false
}

// A tip covers neither what it explains nor the field that is being typed in, and stays in the window, wherever things stand.
func TestTipsCoverNothingAtHand(t *testing.T) {
	rnd := rand.New(rand.NewPCG(62, 6))
	shown := 0
	for range 4000 {
		w, h := 200+rnd.Float64()*1100, 150+rnd.Float64()*700
		place := func() canvas.Rect {
			r := at(0, 0, 30+rnd.Float64()*min(400, w-40), 20+rnd.Float64()*80)
			r.X, r.Y = rnd.Float64()*max(0, w-r.W), rnd.Float64()*max(0, h-r.H)
			return r
		}
		kind := []Kind{Button, Icon, Field, Pick, Toggle, Plate, Row, Fold, Border, Card, Label, Menu}[rnd.IntN(12)]
		s := newStage(t,
			Item{ID: "typed", Kind: Field, At: place(), Value: "54.0 deg"},
			Item{ID: "it", Kind: kind, At: place(), Label: "Heading", Hint: longWords[rnd.IntN(4)+2]})
		s.b.Size = canvas.Point{w, h}
		typed, it := s.items[0].At, s.items[1].At
		if typed.Meets(it) {
			continue
		}
		s.b.SetFocus("typed", s.items)
		m := it.Middle()
		s.do(move(m[0], m[1]), tick(5*time.Second))
		tip, ok := s.tipAt()
		if !ok {
			continue
		}
		shown++
		if tip.Meets(typed) || tip.Meets(it) || !inside(tip, at(0, 0, w, h), 0) {
			t.Fatalf("in %.0f x %.0f the tip of a %v at %v stands at %v; typed at %v", w, h, kind, it, tip, typed)
		}
	}
	if shown < 2000 {
		t.Errorf("only %d tips were shown", shown)
	}
}

// The tips of a column of fields stand beside it: no neighbour is covered.
func TestTipsStandBesideAColumn(t *testing.T) {
	var items []Item
	for i := range 8 {
		items = append(items, Item{ID: fmt.Sprint(i), Kind: Field, At: at(660, 100+30*float64(i), 300, 26), Label: "Height", Hint: "Above the ground, such as 300 mm; of a pair the middle between both."})
	}
	s := newStage(t, items...)
	for i, it := range items {
		m := it.At.Middle()
		s.do(move(m[0], m[1]), tick(time.Duration(i+1)*5*time.Second))
		tip, ok := s.tipAt()
		if !ok {
			t.Fatal("no tip")
		}
		for _, other := range items {
			if tip.Meets(other.At) {
				t.Errorf("the tip of %s covers %s", it.ID, other.ID)
			}
		}
	}
}
