package resolve

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"echowright/planner/quantity"
)

// NewOptions is what moves: the four figures a new layout is made from. A zero figure takes its default.
type NewOptions struct {
	LengthM float64 // along x; default 0.6 m, 0.05 to 50 m
	WidthM  float64 // along y; default 0.45 m, 0.05 to 50 m
	CornerM float64 // radius of the corners; 0 is a sharp corner, at most half the shorter side
	SpeedMS float64 // top speed forward, m/s; default 0.5 m/s, at most 10 m/s
}

// NewLayout writes a starting layout with comments: body, modules round it, two zones, the motion. It parses and
// resolves as it is, and meets its demands unless Shortfall says why not. The error says which figure is out of its bounds.
func NewLayout(o NewOptions) ([]byte, error) {
	o = o.filled()
	if err := o.check(); err != nil {
		return nil, err
	}
	o = o.rounded()
	var b bytes.Buffer
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	add, reach := o.ahead()
	p("# A layout to start from. Change what is not true of your machine; every quantity carries its unit.")
	p("# What you do not know may be left out: the plan names what it assumed instead.")
	if short := o.Shortfall(); short != "" {
		p("# Not sure to be met: %s.", short)
	}
	p("echowright: 1")
	p("name: my machine")
	p("")
	p("air: {temperature: 5..35 degC, humidity: 20..90 %%}         # the weather it works in")
	p("around: {ground: smooth, walls: 0.5..8 m, bounces: 1}     # what may stand there decides how long sound lives")
	p("")
	p("body:                                                     # x is forward, y is left, heights above the ground")
	p("  outline: {rectangle: [%s, %s], corner: %s, centre: [0 m, 0 m], height: 50..400 mm}", long(o.LengthM), long(o.WidthM), length(o.CornerM))
	p("")
	p("sensors:                                                  # `echowright kinds` lists the kinds of module")
	o.sensors(p, add)
	p("")
	p("targets:                                                  # what must be seen")
	p("  leg: {shape: post, diameter: 75 mm, height: 0..0.8 m, surface: hard}")
	p("")
	p("zones:                                                    # where it must be seen")
	p("  # at %s: %s while it waits for its turn and echo (%s, an estimate: each module's busy time and guard),", quantity.Format(quantity.Speed, o.SpeedMS), long(o.SpeedMS*o.detection(add)), quantity.Format(quantity.Time, round(o.detection(add), 1e-3)))
	p("  # %s to react, %s to brake, %s to spare", long(o.SpeedMS*reactionS), long(o.SpeedMS*o.SpeedMS/(2*brakingMS)), long(spareM))
	p("  - {name: way ahead, swept: {way: forward, reach: %s, wider-by: 50 mm}, target: leg, seen-by: 1, largest-gap: 100 mm}", long(reach))
	p("  - {name: skirt, band: {along: all, depth: 100..300 mm}, target: leg, seen-by: 1, largest-gap: 100 mm}")
	p("")
	p("motion: {way: forward, speed: %s, reaction: %s, deceleration: %s, margin: %s}", quantity.Format(quantity.Speed, o.SpeedMS),
		quantity.Format(quantity.Time, reactionS), quantity.Format(quantity.Acceleration, brakingMS), long(spareM))
	p("controller: {clock: 16 MHz, clock-error: 1 %%, tick: 4 us, pin-level: 5 V, reading: blocking, at-once: 1}")
	p("wishes: {style: slots, guard: 1 ms}                       # add `cycle: 250 ms` to hold the plan to a time")
	return b.Bytes(), nil
}

// Figures behind the reach of the lane ahead (common practice, no source): a slow machine's reaction,
// gentle braking, and something to spare.
const (
	reactionS = 0.4    // s
	brakingMS = 1.0    // m/s²
	spareM    = 0.1    // m
	guardS    = 1.2e-3 // s, the guard wished for and the jitter assumed, before and after
	slowClock = 1.01   // the clock error written
)

// looker is a kind of module that may look ahead, and how long one reading of it keeps the controller, s: its
// trigger and busy time as in the catalogue.
type looker struct {
	kind   string
	farM   float64 // to the end of a lane it can watch for a leg, in the weather written
	busyS  float64
	apartM float64 // between modules in a row that leaves no gap of 100 mm in that lane
}

// near is what stands round the machine whatever its speed, since kinds that see farther see nothing as close; where it does
// not reach far enough to stop, a row of one of far is added, the quickest that does.
var (
	near = looker{"near-wide", 0.5, 14.15e-3, 0.3}
	far  = []looker{{"open-pair-5v", 1.1, 38.6e-3, 0.3}, {"narrow-long-range", 2.8, 101e-3, 0.25}}
)

// turnedM is as far as the ring surely sees ahead where the outermost of it stand on round corners, roundM where hardly any
// stands elsewhere, m.
const turnedM, roundM = 0.35, 0.15

// roundestM is the greatest radius of corners for which the rows were tried, m.
const roundestM = 0.6

// cornerSeenM is how far along a side the outermost modules of the rows ahead and back see what stands beside it, m.
const cornerSeenM = 0.15

// mostRow is how many modules a row may have: a machine that needs more on one side is none for a single controller.
const mostRow = 16

// ahead is the kind of the added row, nil if the ring is enough, and the way to stop with it, m. The last kind is taken
// where none sees far enough.
func (o NewOptions) ahead() (add *looker, reachM float64) {
	enough := near.farM
	switch {
	case o.CornerM > o.WidthM/3:
		enough = roundM
	case o.half() > o.WidthM/2-o.CornerM:
		enough = turnedM
	}
	if reachM = o.stopping(nil); reachM <= enough {
		return nil, reachM
	}
	for i := range far {
		add, reachM = &far[i], o.stopping(&far[i])
		if reachM <= add.farM {
			break
		}
	}
	return add, reachM
}

// reading is the time from a trigger until the echo of the farthest leg has come, s, in the coldest air written.
func (l looker) reading() float64 { return 2e-3 + 2*l.farM/330 }

// wanted is how many modules of a kind a row needs from one end to the other.
func (l looker) wanted(m float64) int { return 1 + int(math.Ceil(math.Max(0, m)/l.apartM-1e-9)) }

// row is how many modules look ahead and as many back, along how many stand along each side.
func (o NewOptions) row(l looker) int { return min(max(l.wanted(2*o.halfOf(l)), 2), mostRow) }
func (o NewOptions) along() int       { return min(near.wanted(o.LengthM-2*cornerSeenM), mostRow) }

// half is how far along the outline from the middle the outermost of the ring ahead and back stand: never on a corner itself,
// where those square to the outline would look away from what is ahead.
func (o NewOptions) half() float64 { return o.WidthM/2 - o.edge() }

// edge is how far within the edge of the lane the outermost of a row stand.
func (o NewOptions) edge() float64 { return math.Min(0.03, o.WidthM/10) }

// halfOf is half for a row of a kind. Those added all look straight ahead, so they stand round the corner as far as the lane is wide.
func (o NewOptions) halfOf(l looker) float64 {
	if r := o.CornerM; l.kind != near.kind && r > o.edge() {
		return o.WidthM/2 - r + float64(r*math.Asin(1-o.edge()/r))
	}
	return o.half()
}

// Shortfall says in one line why the layout made from these figures is not sure to meet its demands; nothing where it is.
func (o NewOptions) Shortfall() string {
	o = o.filled().rounded()
	var short []string
	if n := max(near.wanted(2*o.half()), near.wanted(o.LengthM-2*cornerSeenM)); n > mostRow {
		short = append(short, fmt.Sprintf("one side wants %d modules and %d are written, so things may hide between them: take a kind that sees farther, or ask for less of the skirt", n, mostRow))
	}
	add, reach := o.ahead()
	if add != nil && o.CornerM > roundestM {
		short = append(short, fmt.Sprintf("corners rounder than %s turn the ring away from the lane, so things may hide beside the nose: add modules there", long(roundestM)))
	}
	if add != nil && reach > add.farM {
		slow := o
		for enough := false; !enough && slow.SpeedMS > 0.1; {
			slow.SpeedMS = round(math.Ceil(slow.SpeedMS*20-1)/20, 1e-3) // the next lower step of 5 cm/s
			a, m := slow.ahead()
			enough = a == nil || m <= a.farM
		}
		short = append(short, fmt.Sprintf("at %s it needs %s to stop, and no built-in kind surely sees a leg beyond %s: drive at %s at most, brake harder than %s, or describe a stronger kind",
			quantity.Format(quantity.Speed, o.SpeedMS), long(reach), long(add.farM), quantity.Format(quantity.Speed, slow.SpeedMS), quantity.Format(quantity.Acceleration, brakingMS)))
	}
	return strings.Join(short, "; ")
}

// detection estimates the longest time until a target ahead is known, s: a cycle in which all modules take
// turns, and the reading itself.
func (o NewOptions) detection(add *looker) float64 {
	cycle, reading := float64(2*(o.row(near)+o.along()))*(near.busyS+guardS), near.reading()
	if add != nil {
		cycle += float64(o.row(*add)) * (add.busyS + guardS)
		reading = add.reading()
	}
	return slowClock*cycle + reading
}

// stopping is the way the machine needs to stand, to the next centimetre: v t + v²/(2 a) + margin.
func (o NewOptions) stopping(add *looker) float64 {
	needed := float64(o.SpeedMS*(o.detection(add)+reactionS)) + float64(o.SpeedMS*o.SpeedMS)/(2*brakingMS) + spareM
	return round(math.Ceil(needed*100)/100, 1e-2)
}

func (o NewOptions) filled() NewOptions {
	fill := func(x *float64, d float64) {
		if *x == 0 {
			*x = d
		}
	}
	fill(&o.LengthM, 0.6)
	fill(&o.WidthM, 0.45)
	fill(&o.SpeedMS, 0.5)
	return o
}

// rounded cuts the figures to what a tape measure shows; a corner never grows.
func (o NewOptions) rounded() NewOptions {
	o.LengthM, o.WidthM, o.SpeedMS = round(o.LengthM, 1e-3), round(o.WidthM, 1e-3), round(o.SpeedMS, 1e-3)
	o.CornerM = math.Floor(float64(math.Min(o.CornerM, math.Min(o.LengthM, o.WidthM)/2)*1e4)+1e-6) / 1e4
	return o
}

func (o NewOptions) check() error {
	for _, f := range []struct {
		what      string
		x, lo, hi float64
		kind      quantity.Kind
	}{
		{"length", o.LengthM, 0.05, 50, quantity.Length},
		{"width", o.WidthM, 0.05, 50, quantity.Length},
		{"corner radius", o.CornerM, 0, math.Min(o.LengthM, o.WidthM) / 2, quantity.Length},
		{"top speed", o.SpeedMS, 0.01, 10, quantity.Speed},
	} {
		if !(f.lo <= f.x && f.x <= f.hi) { // NaN fails too
			shown := fmt.Sprint(f.x)
			if !math.IsNaN(f.x) && !math.IsInf(f.x, 0) {
				shown = quantity.Format(f.kind, f.x)
			}
			return fmt.Errorf("a %s of %s cannot be; give %s", f.what, shown, quantity.FormatSpan(f.kind, f.lo, f.hi))
		}
	}
	return nil
}

// sensors writes a ring of near modules, and before it the row that looks farther ahead, if there is one.
func (o NewOptions) sensors(p func(string, ...any), add *looker) {
	row := func(name, from, kind string, n int, half float64, rest string) {
		p("  - {name: %s, count: %d, kind: %s, at: {from: %s, spread: %s}, %s}", name, n, kind, from, symmetric(half), rest)
	}
	const ring = "heading: 0 deg, height: 200 mm"
	if add != nil {
		row("ahead", "front", add.kind, o.row(*add), o.halfOf(*add), "heading: 0 deg from forward, height: 300 mm") // above the ring, whose places these are too
	}
	row("front", "front", near.kind, o.row(near), o.half(), ring)
	if n := o.along(); n == 1 {
		p("  - {name: side, pair: mirror, kind: %s, at: {from: left, forward: 0 mm}, %s}", near.kind, ring)
	} else {
		half := o.LengthM/2 - cornerSeenM
		row("left", "left", near.kind, n, half, ring)
		row("right", "right", near.kind, n, half, ring)
	}
	row("rear", "rear", near.kind, o.row(near), o.half(), ring)
}

// long writes a length to the millimetre.
func long(m float64) string { return quantity.Format(quantity.Length, round(m, 1e-3)) }

func symmetric(half float64) string {
	h := round(half, 1e-3)
	return quantity.FormatSpan(quantity.Length, -h, h)
}
