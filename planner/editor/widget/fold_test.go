package widget

import "testing"

// A heading opens and shuts what is under it by click, Enter, Space and arrows; the arrow that changes nothing does nothing.
func TestFold(t *testing.T) {
	s := newStage(t, Item{ID: "f", Kind: Fold, At: at(0, 0, 200, 26), Label: "Weather", Note: "assumed"}, field("a", "1", 40))
	s.do(click(20, 10)...).want("f toggled 1")
	s.do(keys("Tab", "Shift+Tab", "Left")...).focus("f").want()
	s.do(keys("Right")...).want("f toggled 1")
	s.item("f").Chosen = true
	s.do(keys("Right")...).want()
	s.do(keys("Left")...).want("f toggled 0").do(keys("Enter")...).want("f toggled 0").do(keys("Space")...).want("f toggled 0")
}

// A border is pulled from where it was taken, by arrows in steps; a double click or Enter asks for what is usual.
func TestBorder(t *testing.T) {
	s := newStage(t, Item{ID: "b", Kind: Border, At: at(0, 300, 200, 11)}, field("a", "1", 40))
	s.do(down(100, 305)).want()
	s.do(move(100, 325)).want("b pulled 320")
	s.do(move(100, -50)).want("b pulled 0").do(up(100, -50)).want()
	s.do(move(100, 200)).want()
	s.do(keys("Tab", "Shift+Tab", "Up", "Down", "Enter")...).focus("b").want("b pulled 276", "b pulled 324", "b pulled -1")
	twice := down(100, 305)
	twice.Clicks = 2
	s.do(twice).want("b pulled -1")
}
