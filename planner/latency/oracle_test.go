package latency

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/golang/geo/r2"

	"echowright/planner/plan"
)

// stepM is the step of the slow oracle along a line, m.
const stepM = 1e-3

// slow walks one line of the lane in steps and tells what each sensor warns at. It shares nothing with the package.
type slow struct {
	w     *world
	y     float64
	touch float64
	runs  map[string][][2]float64 // far and near end of what each sensor sees, m before touching
}

// inside is the even-odd rule.
func inside(ring []r2.Point, x, y float64) (in bool) {
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > y) != (b.Y > y) && x < a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X) {
			in = !in
		}
	}
	return in
}

func walk(w *world, y float64) *slow {
	s := &slow{w: w, y: y, touch: math.Inf(-1), runs: map[string][][2]float64{}}
	const far = 4.5 // beyond all lobes
	// Steps would miss the tip of the body at the lane's edge.
	body := w.sc.Body.Outline
	for i, a := range body {
		b := body[(i+1)%len(body)]
		if (a.Y-y)*(b.Y-y) < 0 {
			s.touch = math.Max(s.touch, a.X+(y-a.Y)/(b.Y-a.Y)*(b.X-a.X))
		}
	}
	for _, l := range w.p.Lobes {
		var ring []r2.Point
		for _, q := range l.Polygon[0] {
			ring = append(ring, r2.Point{X: q[0], Y: q[1]})
		}
		from, to := math.Inf(-1), 0.0
		for x := far; x > math.Max(s.touch, -1); x -= stepM {
			if inside(ring, x, y) {
				from, to = math.Max(from, x-s.touch), x-s.touch
			} else if from > 0 {
				s.runs[l.Sensor] = append(s.runs[l.Sensor], [2]float64{from, to})
				from = math.Inf(-1)
			}
		}
		if from > 0 {
			s.runs[l.Sensor] = append(s.runs[l.Sensor], [2]float64{from, 0})
		}
	}
	return s
}

// detect is how long n readings of a sensor take at the worst, s, by trying every firing to start after.
func (s *slow) detect(name string) float64 {
	var at []int64
	for _, f := range s.w.p.Schedule.Firings {
		if f.Sensor == name {
			at = append(at, f.AtUs)
		}
	}
	n := len(at)
	for c := range int64(4) {
		for _, a := range at[:n] {
			at = append(at, a+(c+1)*s.w.p.Schedule.CycleUs)
		}
	}
	worst := int64(0)
	for i := range n {
		worst = max(worst, at[i+s.w.sc.Motion.Of]-at[i])
	}
	return float64(worst) / 1e6
}

func (s *slow) needed(name string, v float64) float64 {
	m := s.w.sc.Motion
	return v*(s.detect(name)+m.Reaction.Seconds()) + v*v/(2*m.DecelMS2) + m.MarginM
}

// slack is what the last of the sensors asked for has to spare at a speed, m; −none where too few warn. The
// steps leave it open how long a stretch is to within two of them: with grace set the doubt counts for it.
func (s *slow) slack(v float64, grace bool) float64 {
	doubt := 2 * stepM
	if grace {
		doubt = -doubt
	}
	var all []float64
	for _, x := range s.w.sc.Sensors {
		first := 0.0
		for _, r := range s.runs[x.Name] {
			if r[0]-r[1] >= v*s.detect(x.Name)+doubt {
				first = math.Max(first, r[0])
			}
		}
		if first > 0 {
			all = append(all, first-s.needed(x.Name, v))
		}
	}
	slices.SortFunc(all, func(a, b float64) int { return cmp.Compare(b, a) })
	if k := s.w.sc.Zones[0].SeenBy; len(all) >= k {
		return all[k-1]
	}
	return -none
}

const none = 1e9

// around walks the lines next to y, as a step of the border may fall on either side of it, and tells the least
// that any has to spare.
func around(w *world, y, v float64) float64 {
	least := math.Inf(1)
	for _, dy := range []float64{-1e-3, -1e-5, 0, 1e-5, 1e-3} {
		if s := walk(w, y+dy); !math.IsInf(s.touch, 0) {
			least = math.Min(least, s.slack(v, false))
		}
	}
	return least
}

// The line found the worst must be as bad when walked along in small steps, and no other line of the lane worse;
// at the greatest safe speed every line is safe, a little above it one beside the line named is not.
func TestAgainstWalking(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const within = 3 * stepM // touch, far end, and one for the sum
	unseen, seen := 0, 0
	for range 100 {
		w := randomWorld(r)
		slices.SortStableFunc(w.p.Schedule.Firings, func(a, b plan.Firing) int { return cmp.Compare(a.AtUs, b.AtUs) })
		got := w.asked()
		if got.Zone == "" {
			continue
		}
		spare := got.FirstM - got.NeededM
		if got.FirstM == 0 {
			unseen++
			spare = -none
		} else {
			seen++
		}
		if s := around(w, got.At[1], got.SpeedMS); s > spare+within {
			t.Errorf("at %v: %.4f m to spare, walking %.4f", got.At, spare, s)
		}
		if s := around(w, got.LimitAt[1], got.SafeSpeedMS+0.01); s > 0 {
			t.Errorf("safe to %.4f m/s by %v, walking has %.4f m to spare above", got.SafeSpeedMS, got.LimitAt, s)
		}
		for range 12 {
			s := walk(w, got.LaneM[0]+r.Float64()*(got.LaneM[1]-got.LaneM[0]))
			if math.IsInf(s.touch, 0) {
				continue
			}
			if d := s.slack(got.SpeedMS, true); d < spare-within {
				t.Errorf("at y %.5f walking finds %.4f m to spare, less than %.4f", s.y, d, spare)
			}
			if d := s.slack(got.SafeSpeedMS, true); got.SafeSpeedMS > 0 && d < -within {
				t.Errorf("at y %.5f walking lacks %.4f m at %.4f m/s", s.y, d, got.SafeSpeedMS)
			}
		}
	}
	if seen < 20 || unseen < 20 {
		t.Errorf("only %d seen, %d unseen: nothing was tried", seen, unseen)
	}
}
