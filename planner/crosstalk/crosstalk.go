// Package crosstalk finds who disturbs whom: for every ordered pair of sensors, a sensor and itself included, the spans
// of time after the one fires in which the other could take that sound for its own echo.
//
// In goes a scene with its sensors' acoustics; out come arcs of time. Looked at are, as far as the stated number of bounces
// goes:
//
//	0  along the body: straight where the sensors see each other, bent round it where they do not
//	1  one flat wall of any direction at any distance from the body within the layout's span
//	1  a target of a zone at any place of the zone and any of its turns
//	1  the body and its parts: faces, edges, corners, round parts
//	2  two such walls one after the other, each of any direction and at any distance of its own: corners of every angle, and
//	   walls that face each other
//	2  the same wall twice and a flat side of the body in between
//	2  a flat side of the body or a part that a sensor stands before, and a wall, in either order
//
// and no others: no wall after a target or a round part or an edge, no target after a target, no third wall.
//
// Nothing is sampled. Spans are found by halving boxes of reflectors (branch and bound, A. H. Land and A. G. Doig,
// Econometrica 28, 497-520, 1960) with bounds proven over each box, so that no reflector of those gives a path that is loud
// enough and lies outside; places tried only say when to stop. "No crosstalk" is true for those reflectors and no others.
// Each bound is derived where its family is described.
//
// All of it errs on the loud side: high supply, least absorption, each pattern's never-rising envelope with its floor, walls
// without loss, as wide as the path needs, and no shadow by the body but a stated loss for paths that must bend round it.
// Doppler is left out: at 1 m/s it moves a 40 kHz carrier by 0.6 % at the most, less than a transducer's bandwidth, and
// arrival times not at all.
package crosstalk

import (
	"fmt"
	"math"
	"time"

	"echowright/planner/plan"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// Path is the way a disturbing sound takes.
type Path string

// The ways looked at.
const (
	Direct       Path = "direct"        // along the body
	Wall         Path = "wall"          // by one wall
	TwoWalls     Path = "two walls"     // by two walls, one after the other
	WallBodyWall Path = "wall and body" // to a wall, back to a flat side of the body, to the same wall again
	Object       Path = "target"        // by a target of a zone
	PartWall     Path = "part and wall" // by a flat side of the body or a part, and a wall
	OwnPart      Path = "part"          // by the body or a part of it
)

// Arc is a span of time after sensor From is triggered in which sensor To could take the sound for its own echo. Where the
// lengths of one way leave out a stretch of GapM or more there are several arcs of that way.
//
// It starts with the shortest path that is loud enough, at the fastest sound and the earliest burst, and ends when the
// last of the burst has come by the longest such path, at the slowest sound. The clock's error over the time, and the place of
// the transducers of a separate pair widen it. Jitter does not: who makes a timetable adds that of both firings, and SpanUs
// adds it for whoever looks at the arc alone.
type Arc struct {
	From, To     int // indices into Scene.Sensors
	Path         Path
	Object       string        // name of the target or part it comes by, where it does
	Points       []r2.Point    // the loudest path found: sender, by a wall the place of reflection, listener
	PathM        scene.Span    // lengths at which it is loud enough, transducer to transducer; the longest goes round the body where it must bend
	Starts, Ends time.Duration // whole ns, rounded outward
	LevelDB      float64       // at most this, over To's lowest threshold
	// SameObject is true where To hears everything that this sound can come by also by itself, for certain, and no later than the
	// foreign sound if both fire together: its reading is then right. Looked into for one wall alone; false where it is not proven.
	SameObject bool

	early, late float64 // bounds of From's sound leaving, after To's own burst, if both are triggered together, s
	sound       span    // slowest and fastest, m/s
	fixed       float64 // speed with which To turns time into distance, m/s; 0 where it knows the true one
}

// Reads returns the distance To would show, m, if it were triggered after From by lag. Below zero it is not heard at all.
//
//	r = c (t_arrival - lag) / 2        with the speed c that To assumes
func (a Arc) Reads(lag time.Duration) scene.Span {
	early, late := a.early-lag.Seconds(), a.late-lag.Seconds()
	if a.fixed > 0 {
		return scene.Span{
			Lo: a.fixed * (a.PathM.Lo/a.sound.hi + early) / 2,
			Hi: a.fixed * (a.PathM.Hi/a.sound.lo + late) / 2,
		}
	}
	return scene.Span{
		Lo: (a.PathM.Lo + math.Min(early*a.sound.lo, early*a.sound.hi)) / 2,
		Hi: (a.PathM.Hi + math.Max(late*a.sound.lo, late*a.sound.hi)) / 2,
	}
}

// Assumptions names what this package takes for granted where no layout can say otherwise.
func Assumptions() []scene.Assumption {
	return []scene.Assumption{{
		Key:  "crosstalk.bend",
		Text: fmt.Sprintf("sound that must bend round the body is taken to lose %d dB at that end", BendLossDB),
	}, {
		Key:  "crosstalk.side",
		Text: fmt.Sprintf("sides of the body shorter than %g mm are taken to scatter, not to mirror", leastSideM*1e3),
	}}
}

// Hides returns the true distances at which To's own echo would come later than this sound, m, if To were triggered after From
// by lag and listens as far as listenM: a module that takes the first echo then does not see what stands there. False
// where there are none.
//
//	2 r / c + own burst > L / c + foreign burst - lag
func (a Arc) Hides(lag time.Duration, listenM float64) (scene.Span, bool) {
	truly := a
	truly.fixed = 0
	r := truly.Reads(lag)
	s := scene.Span{Lo: math.Max(0, r.Lo), Hi: listenM}
	if r.Hi < 0 || s.Lo >= s.Hi {
		return scene.Span{}, false
	}
	return s, true
}

// SpanUs is the arc in whole microseconds, rounded outward, if each of the two firings may be off by the jitter, itself in whole
// microseconds as a scheduler has it.
func (a Arc) SpanUs(jitter time.Duration) (from, until int64) {
	off := 2 * int64(math.Ceil(float64(jitter)/1e3))
	return max(0, int64(math.Floor(float64(a.Starts)/1e3))-off), int64(math.Ceil(float64(a.Ends)/1e3)) + off
}

// Name is the way in words, with what it comes by: "target: post".
func (a Arc) Name() string {
	if a.Object == "" {
		return string(a.Path)
	}
	return string(a.Path) + ": " + a.Object
}

// Report puts arcs into the words and units of the Plan, in the order given; times hold the jitter of both firings.
// A reading is what the listener shows if both fire together; for a sensor's own late sound, if it fires again after
// cycle. Readings below zero, of sound gone by then, are cut to zero. listenM is how far each sensor listens, m.
func Report(sc *scene.Scene, arcs []Arc, cycle time.Duration, listenM []float64) []plan.Arc {
	out := make([]plan.Arc, len(arcs))
	for k, a := range arcs {
		lag := time.Duration(0)
		if a.From == a.To {
			lag = cycle
		}
		reads := a.Reads(lag)
		hides, _ := a.Hides(lag, listenM[a.To])
		from, until := a.SpanUs(sc.Wishes.Jitter)
		out[k] = plan.Arc{
			From: sc.Sensors[a.From].Name, To: sc.Sensors[a.To].Name, Path: a.Name(),
			Points: plan.RingOf(a.Points),
			FromUs: from, UntilUs: until,
			LevelDB:    a.LevelDB,
			ReadsM:     [2]float64{math.Max(0, reads.Lo), math.Max(0, reads.Hi)},
			HidesM:     [2]float64{hides.Lo, hides.Hi},
			SameObject: a.SameObject,
		}
	}
	return out
}
