package crosstalk

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// Where the loudest path of a family is only just loud enough, or only just not, its spans are as short as they get: swept in steps
// of what a search lets count (hairDB), no arc is ever reversed or too quiet.
func TestArcsAtTheThreshold(t *testing.T) {
	t.Parallel()
	const gain, step, machines = 60, hairDB, 2
	rnd := rand.New(rand.NewPCG(23, 5))
	arcs := map[Path]int{}
	for m := range machines {
		sc := spot(rnd, []scene.Shape{scene.Post, scene.Kerb}[m])
		sc.Sensors, sc.Around.Bounces = sc.Sensors[:2], 2
		sc.Around.WallsM = scene.Span{Lo: 0.3, Hi: 3}
		sc.Body.HeightM = scene.Span{Hi: 2}
		sc.Body.Parts = []scene.Part{{Name: "plate", HeightM: scene.Span{Hi: 2}, Outline: []r2.Point{{X: 2, Y: -3}, {X: 2.1, Y: -3}, {X: 2.1, Y: 3}, {X: 2, Y: 3}}}}
		a, loud := trial(sc, wide, gain, 0.5, 331, 349), 0.0
		a.gainDB = func(_, _ int) float64 { return loud }
		a.prepare()
		h := hunt{ctx: t.Context()}
		arcsAt := func(a *array, gain float64) (list []Arc) {
			loud = gain
			for _, way := range a.heard(0, 1, &h) {
				list = append(list, a.arc(0, 1, way))
			}
			return list
		}
		level := map[Path]float64{}
		for _, arc := range arcsAt(a, gain) {
			level[arc.Path] = max(level[arc.Path], arc.LevelDB)
		}
		for path, most := range level {
			// The level is no more than levelWithinDB above that of a path found. Ways far from their own threshold are looked at where
			// the sweep begins and ends.
			const from, to = -levelWithinDB - step, twoHairDB
			own := withOnly(a, path)
			for over := from; over <= to; over += step {
				of := own
				if over == from || over+step > to {
					of = a
				}
				for _, arc := range arcsAt(of, gain-most-over) {
					if !(0 <= arc.PathM.Lo && arc.PathM.Lo <= arc.PathM.Hi) || !(0 <= arc.Starts && arc.Starts <= arc.Ends) || !(arc.LevelDB >= 0) || len(arc.Points) < 2 {
						t.Fatalf("machine %d, %.3f dB over the loudest by %s: %+v", m, -over, path, arc)
					}
					if arc.Path == path {
						arcs[path]++
					}
				}
			}
		}
	}
	for _, path := range []Path{Direct, Wall, TwoWalls, WallBodyWall, Object, PartWall, OwnPart} {
		if arcs[path] == 0 {
			t.Errorf("no arc by %s at its threshold", path)
		}
	}
	t.Log(arcs)
}

// withOnly is an array without reflectors that have no part in one way.
func withOnly(a *array, path Path) *array {
	only := *a
	if path == Direct || path == Object || path == OwnPart {
		only.sectors = nil
	}
	if path == Wall {
		only.compass = nil
	}
	if path != WallBodyWall {
		only.sides = nil
	}
	if path != Object {
		only.targets = nil
	}
	if path != OwnPart && path != PartWall {
		only.prisms = nil
	}
	return &only
}

// A fault in a search surfaces where Arcs was called, and nobody waits for a search that was called off.
func TestSearchesFailAndStop(t *testing.T) {
	a := trial(front(0.5, scene.Span{Lo: 1, Hi: 2}), everywhere, 60, 0, 340, 340)
	ctx, cancel := context.WithCancel(t.Context())
	plain := a.gainDB
	a.gainDB = func(i, j int) float64 { cancel(); return plain(i, j) }
	if arcs, err := a.arcs(ctx); !errors.Is(err, context.Canceled) || arcs != nil {
		t.Errorf("called off: %v, %v", arcs, err)
	}
	a.gainDB = func(i, j int) float64 { panic("no gain") }
	text := func() (text string) {
		defer func() { text = fmt.Sprint(recover()) }()
		a.all()
		return "none"
	}()
	if !strings.HasPrefix(text, "no gain") {
		t.Errorf("panic %q", text)
	}
}
