package coverage

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

// The fixtures are inventions; their figures are common practice, no source.

func pairKind() scene.Kind {
	leg := post(0.0375)
	return scene.Kind{
		Name: "pair", Pair: true, PairSpacingM: val(0.026), CarrierHz: val(40000), SpreadHz: val(500),
		Ranges: []scene.Range{{M: val(2.0), Against: leg, EndedBy: scene.EndedByThreshold, TemperatureC: 20, HumidityPct: 50, PressurePa: 101325}},
		BlindM: val(0.03), InsideReads: scene.ReadsDouble,
		Beam: scene.Beam{Across: 60 * s1.Degree, Upright: 60 * s1.Degree, Meaning: scene.BeamMeaning{LevelDB: -6, TwoWay: true}, NeverBelowDB: val(-45)},
		Timing: scene.Timing{By: scene.ByModule, TriggerToBurst: scene.TimeSpan{Lo: 200 * time.Microsecond, Hi: 500 * time.Microsecond},
			Burst: 200 * time.Microsecond, BusyWithoutEcho: 30 * time.Millisecond, Rest: 10 * time.Millisecond},
		Supply: scene.Supply{VoltsV: scene.Span{Lo: 4.8, Hi: 5.2}, NominalV: val(5), AverageA: val(0.015), PeakA: val(0.03)},
	}
}

func val(x float64) scene.Value { return scene.Value{X: x, From: scene.Datasheet} }

func post(radius float64) scene.Target {
	return scene.Target{Name: "leg", Shape: scene.Post, RadiusM: radius, HeightM: scene.Span{Lo: 0, Hi: 1}, Surface: "hard"}
}

func wall(turned s1.Angle) scene.Target {
	t := turned.Radians()
	return scene.Target{Name: "wall", Shape: scene.Wall, HeightM: scene.Span{Lo: 0, Hi: 2}, Surface: "hard", Turned: scene.Span{Lo: -t, Hi: t}}
}

var mildAir = scene.Air{TemperatureC: scene.Span{Lo: 10, Hi: 30}, HumidityPct: scene.Span{Lo: 30, Hi: 70}, PressurePa: scene.Span{Lo: 95000, Hi: 103000}}

// ring returns n sensors spread along an outline, each facing squarely out, the first in the middle of the front.
func ring(o []r2.Point, n int) []scene.Sensor {
	out, err := geometry.NewOutline(o)
	if err != nil {
		panic(err)
	}
	sensors := make([]scene.Sensor, n)
	for i := range sensors {
		s := out.Length() * float64(i) / float64(n)
		p, normal := out.At(s)
		sensors[i] = scene.Sensor{Name: fmt.Sprintf("ring.%d", i+1), Group: "ring", At: p, HeightM: 0.2, Heading: normal, ArcM: s}
	}
	return sensors
}

// band is the region between two distances from an outline.
func band(o []r2.Point, from, to float64) [][]r2.Point {
	outer, inner := geometry.Offset(o, to, 1e-3), geometry.Offset(o, from, 1e-3)
	return [][]r2.Point{outer[0], geometry.Reverse(inner[0])}
}

// cart is a rounded rectangle with n sensors around it and a band zone for a post.
func cart(n int) *scene.Scene {
	body := geometry.RoundedRectangle(0.7, 0.5, 0.1, r2.Point{}, 1e-3)
	return &scene.Scene{
		Name: "cart", Air: mildAir, Around: scene.Around{Ground: scene.GroundSmooth, WallsM: scene.Span{Lo: 0.3, Hi: 6}, Bounces: 1},
		Body:    scene.Body{Outline: body, HeightM: scene.Span{Lo: 0.08, Hi: 0.32}},
		Kinds:   []scene.Kind{pairKind()},
		Sensors: ring(body, n),
		Targets: []scene.Target{post(0.025), wall(10 * s1.Degree)},
		Zones: []scene.Zone{{
			Name: "skirt", Rings: band(body, 0.06, 1.0), Target: 0, SeenBy: 1, Share: 0.95, GapM: 0.05,
		}},
	}
}

// listenAll lets every sensor listen to one distance and looks through its ears.
func listenAll(t testing.TB, sc *scene.Scene, far float64) Inputs {
	t.Helper()
	models := make([]*acoustics.Model, len(sc.Kinds))
	for i, k := range sc.Kinds {
		m, err := acoustics.NewModel(k, sc.Air)
		if err != nil {
			t.Fatal(err)
		}
		models[i] = m
	}
	in := Inputs{Advise: true}
	for _, s := range sc.Sensors {
		in.Ears = append(in.Ears, models[s.Kind].Mount(s, sc.Around.Ground))
		in.ListenM = append(in.ListenM, far)
	}
	return in
}

// analyse is Analyse when nothing cuts it short.
func analyse(sc *scene.Scene, in Inputs) Result {
	r, err := Analyse(context.Background(), sc, in)
	if err != nil {
		panic(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}
