package resolve

import (
	"bytes"
	"fmt"
	"math"

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
// resolves as it is; whether it meets its demands is for the builder to find out. The error says which
// figure is out of its bounds.
func NewLayout(o NewOptions) ([]byte, error) {
	o = o.filled()
	if err := o.check(); err != nil {
		return nil, err
	}
	o = o.rounded()
	var b bytes.Buffer
	p := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	ahead, reach := o.ahead()
	p("# A layout to start from. Change what is not true of your machine; every quantity carries its unit.")
	p("# What you do not know may be left out: the plan names what it assumed instead.")
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
	o.sensors(p, ahead)
	p("")
	p("targets:                                                  # what must be seen")
	p("  leg: {shape: post, diameter: 75 mm, height: 0..0.8 m, surface: hard}")
	p("")
	p("zones:                                                    # where it must be seen")
	p("  # at %s: %s while it waits for its turn and echo (%s, an estimate: each module's busy time and guard),", quantity.Format(quantity.Speed, o.SpeedMS), long(o.SpeedMS*o.detection(ahead)), quantity.Format(quantity.Time, round(o.detection(ahead), 1e-3)))
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

// ahead is a kind of module that may look ahead, and how long one reading of it keeps the controller, s: its
// trigger and busy time as in the catalogue.
type ahead struct {
	kind  string
	farM  float64 // to the end of a lane it can watch for a leg
	busyS float64
}

var lookers = []ahead{{"near-wide", 0.5, 14.15e-3}, {"open-pair-5v", 1.8, 38.6e-3}, {"narrow-long-range", math.Inf(1), 101e-3}}

// ahead picks the first kind that reaches as far as the machine needs with it, since a slower kind makes the
// cycle and so the way to stop longer.
func (o NewOptions) ahead() (a ahead, reachM float64) {
	for _, a = range lookers {
		if reachM = o.stopping(a); reachM <= a.farM {
			break
		}
	}
	return a, reachM
}

// row is how many modules look ahead and as many back, along how many stand along each side.
func (o NewOptions) row() int   { return min(max(int(math.Ceil(o.WidthM/0.2)), 2), 7) }
func (o NewOptions) along() int { return min(max(int(math.Round(o.LengthM/0.4)), 1), 5) }

// detection estimates the longest time until a target ahead is known, s: a cycle in which all modules take
// turns, and the reading itself.
func (o NewOptions) detection(a ahead) float64 {
	others := o.row() + 2*o.along()
	cycle := float64(o.row())*(a.busyS+guardS) + float64(others)*(lookers[0].busyS+guardS)
	return slowClock*cycle + a.busyS
}

// stopping is the way the machine needs to stand, to the next centimetre: v t + v²/(2 a) + margin.
func (o NewOptions) stopping(a ahead) float64 {
	needed := float64(o.SpeedMS*(o.detection(a)+reactionS)) + float64(o.SpeedMS*o.SpeedMS)/(2*brakingMS) + spareM
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

// sensors writes a row ahead, a row behind, and mirrored ones along the sides, about one to a forearm's length.
func (o NewOptions) sensors(p func(string, ...any), a ahead) {
	// the outermost of a row stand an eighth of the way round the corner, so that they look a little outward, but
	// never on a sharp corner itself, where they would look away from the lane
	half := math.Min(o.WidthM/2-o.CornerM+float64(o.CornerM*math.Pi/16), o.WidthM/2-math.Min(0.03, o.WidthM/10))
	row, n := o.row(), o.along()
	p("  - {name: front, count: %d, kind: %s, at: {from: front, spread: %s}, heading: 0 deg, height: 200 mm}", row, a.kind, symmetric(half))
	for i, x := range spreadOver(0.6*o.LengthM/2, -0.6*o.LengthM/2, n) {
		p("  - {name: side %c, pair: mirror, kind: near-wide, at: {from: left, forward: %s}, heading: 0 deg, height: 200 mm}", 'a'+i, long(x))
	}
	p("  - {name: rear, count: %d, kind: near-wide, at: {from: rear, spread: %s}, heading: 0 deg, height: 200 mm}", row, symmetric(half))
}

// long writes a length to the millimetre.
func long(m float64) string { return quantity.Format(quantity.Length, round(m, 1e-3)) }

func symmetric(half float64) string {
	h := round(half, 1e-3)
	return quantity.FormatSpan(quantity.Length, -h, h)
}
