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

// NewLayout writes a starting layout with comments: body, modules round it, two zones. It parses and
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
	reach := o.stopping()
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
	o.sensors(p)
	p("")
	p("targets:                                                  # what must be seen")
	p("  leg: {shape: post, diameter: 75 mm, height: 0..0.8 m, surface: hard}")
	p("")
	p("zones:                                                    # where it must be seen")
	p("  # at %s: %s to react, %s to brake, 100 mm to spare", quantity.Format(quantity.Speed, o.SpeedMS), long(o.SpeedMS*reactionS), long(reach-o.SpeedMS*reactionS-spareM))
	p("  - {name: way ahead, swept: {way: forward, reach: %s, wider-by: 50 mm}, target: leg, seen-by: 1, largest-gap: 100 mm}", long(reach))
	p("  - {name: skirt, band: {along: all, depth: 100..300 mm}, target: leg, seen-by: 1, largest-gap: 100 mm}")
	p("")
	p("controller: {clock: 16 MHz, clock-error: 1 %%, tick: 4 us, pin-level: 5 V, reading: blocking, at-once: 1}")
	p("wishes: {style: slots, guard: 1 ms}                       # add `cycle: 250 ms` to hold the plan to a time")
	return b.Bytes(), nil
}

// Figures behind the reach of the lane ahead (common practice, no source): a slow machine's reaction with
// the wait for its readings, gentle braking, and something to spare.
const (
	reactionS = 0.4 // s
	brakingMS = 1.0 // m/s²
	spareM    = 0.1 // m
)

// stopping is the way the machine needs to stand: v t + v²/(2 a) + margin.
func (o NewOptions) stopping() float64 {
	return round(float64(o.SpeedMS*reactionS)+float64(o.SpeedMS*o.SpeedMS)/(2*brakingMS)+spareM, 1e-2)
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
func (o NewOptions) sensors(p func(string, ...any)) {
	kind := "near-wide"
	switch reach := o.stopping(); {
	case reach > 1.8:
		kind = "narrow-long-range"
	case reach > 0.5:
		kind = "open-pair-5v"
	}
	// the outermost of a row stand a quarter of the way round the corner, so that they look a little outward
	half := o.WidthM/2 - o.CornerM + float64(o.CornerM*math.Pi/8)
	row := min(max(int(math.Ceil(o.WidthM/0.2)), 2), 7)
	p("  - {name: front, count: %d, kind: %s, at: {from: front, spread: %s}, heading: 0 deg, height: 200 mm}", row, kind, symmetric(half))
	n := min(max(int(math.Round(o.LengthM/0.4)), 1), 5)
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
