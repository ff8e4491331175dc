//go:build !js

package main

import "testing"

type screenOf [2]int

func (s screenOf) Size() (int, int) { return s[0], s[1] }

// The first window is as large as it should be, and no larger than the screen.
func TestFirstWindowFitsTheScreen(t *testing.T) {
	for _, c := range []struct {
		grow         float64
		screen, want screenOf
	}{
		{1, screenOf{1920, 1080}, screenOf{1280, 800}},
		{1, screenOf{640, 400}, screenOf{640, 400}}, // 1280 by 800 pixels, two a point
		{2, screenOf{1920, 1080}, screenOf{1920, 1080}},
		{1, screenOf{}, screenOf{1280, 800}}, // not known
	} {
		if w, h := firstSize(c.grow, c.screen); (screenOf{w, h}) != c.want {
			t.Errorf("grow %g on %v: %d by %d, want %v", c.grow, c.screen, w, h, c.want)
		}
	}
}
