package widget

import (
	"fmt"
	"testing"
)

func rowsIn(scroll bool) []Item {
	in := ""
	var items []Item
	if scroll {
		in = "s"
		items = append(items, Item{ID: "s", Kind: Scroll, At: at(0, 0, 200, 100), Tall: 20 * 26})
	}
	for i := range 20 {
		items = append(items, Item{ID: fmt.Sprint("r", i), In: in, Kind: Row, At: at(0, 26*float64(i), 180, 26), Label: fmt.Sprint("sensor ", i), Value: fmt.Sprint(i), Chosen: i == 3})
	}
	return append(items, Item{ID: "b", Kind: Button, At: at(300, 0, 80, 26), Label: "Go"})
}

func TestRows(t *testing.T) {
	s := newStage(t, rowsIn(true)...)
	s.do(keys("Tab")...).focus("r3")
	s.do(keys("Tab")...).focus("b")
	s.do(keys("Shift+Tab", "Down")...).want("r4 chosen 0 4").focus("r4")
	if s.b.Scrolled("s") == 0 || !s.shows("scroll", "sensor 4") {
		t.Errorf("scrolled by %v: the row with the focus is not in sight", s.b.Scrolled("s"))
	}
	s.do(keys("End")...).want("r19 chosen 0 19")
	if s.b.Scrolled("s") != 20*26-100 {
		t.Errorf("scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(keys("Down", "Enter", "Home", "Up")...).want("r19 opened 0 19", "r0 chosen 0 0")
	// By mouse the arrows go on from there, and a double click opens.
	two := down(50, 40)
	two.Clicks = 2
	s.do(click(50, 40)...).do(two, up(50, 40)).want("r1 chosen 0 1", "r1 opened 0 1")
	s.do(keys("Down")...).want("r2 chosen 0 2")
}

func TestScroll(t *testing.T) {
	s := newStage(t, rowsIn(true)...)
	s.do(wheel(50, 50, 30))
	if s.b.Scrolled("s") != 30 || !s.taken {
		t.Errorf("wheel scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(click(50, 1)...).want("r1 chosen 0 1") // 30 further down
	s.do(wheel(50, 50, 1e9))
	if s.b.Scrolled("s") != 420 {
		t.Errorf("scrolled by %v of 420", s.b.Scrolled("s"))
	}
	s.do(wheel(50, 50, -1e9), wheel(500, 500, 10))
	if s.b.Scrolled("s") != 0 || s.taken {
		t.Error("a wheel elsewhere was taken")
	}
	// A finger drags the content, and what it pressed is not pressed then.
	s.do(down(50, 80), move(50, 60), move(50, 30), up(50, 30)).want()
	if s.b.Scrolled("s") != 30 {
		t.Errorf("dragged by %v", s.b.Scrolled("s"))
	}
	bar := 0
	for _, l := range s.b.Layers(s.items) {
		for _, sh := range l.Shapes {
			if got := bounds(s.b, sh); l.Name == "scroll s" && inside(got, at(188, 0, 12, 100), 0) && got.H >= 20 {
				bar++
			}
		}
	}
	if bar != 1 {
		t.Error("no bar is drawn")
	}
	// The bar: its thumb follows, a press beside it goes there.
	s.do(wheel(50, 50, -1e9), down(194, 5), move(194, 200), up(194, 200))
	if s.b.Scrolled("s") != 420 {
		t.Errorf("thumb scrolled by %v", s.b.Scrolled("s"))
	}
	s.do(down(194, 1), up(194, 1))
	if s.b.Scrolled("s") != 0 {
		t.Errorf("a press on the bar scrolled to %v", s.b.Scrolled("s"))
	}
	// What is scrolled away is not hit.
	s.do(click(50, 150)...).want()
	s.do(keys("Tab", "PageDown")...) // row 3 comes into sight by 4, then a page less a line
	if s.b.Scrolled("s") != 4+74 {
		t.Errorf("PageDown scrolled by %v", s.b.Scrolled("s"))
	}
}
