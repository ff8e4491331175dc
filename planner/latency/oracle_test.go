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
	for k := range int((far + 1) / stepM) {
		if x := far - float64(k)*stepM; inside(w.sc.Body.Outline, x, y) {
			s.touch = x
			break
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

// first is where a sensor's warning comes at a speed, m; 0 for none.
func (s *slow) first(name string, v float64) float64 {
	best := 0.0
	for _, r := range s.runs[name] {
		if r[0]-r[1] >= v*s.detect(name) {
			best = math.Max(best, r[0])
		}
	}
	return best
}

// safe reports whether enough sensors warn in time at a speed.
func (s *slow) safe(v float64) bool {
	count := 0
	for _, x := range s.w.sc.Sensors {
		if d := s.first(x.Name, v); d > 0 && d >= s.needed(x.Name, v) {
			count++
		}
	}
	return count >= s.w.sc.Zones[0].SeenBy
}

// slack is what the last of the sensors asked for has to spare, m; −1e9 where too few warn.
func (s *slow) slack(v float64) float64 {
	var all []float64
	for _, x := range s.w.sc.Sensors {
		if d := s.first(x.Name, v); d > 0 {
			all = append(all, d-s.needed(x.Name, v))
		}
	}
	slices.SortFunc(all, func(a, b float64) int { return cmp.Compare(b, a) })
	if k := s.w.sc.Zones[0].SeenBy; len(all) >= k {
		return all[k-1]
	}
	return -1e9
}

// What was found the worst line must be as bad when walked along in small steps, and no other line of the lane
// worse; at the greatest safe speed every line is safe, a little above it the line named is not.
func TestAgainstWalking(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	unseen, seen, worst := 0, 0, 0.0
	for range 60 {
		w := randomWorld(r)
		slices.SortStableFunc(w.p.Schedule.Firings, func(a, b plan.Firing) int { return cmp.Compare(a.AtUs, b.AtUs) })
		got := w.asked()
		if got.Zone == "" {
			continue
		}
		v := got.SpeedMS
		at := walk(w, got.At[1])
		if got.FirstM == 0 {
			unseen++
			if s := at.slack(v); s > -1e9 {
				t.Errorf("called unseen, but walking finds %.4f m to spare", s)
			}
		} else {
			seen++
			d := math.Abs(at.slack(v) - (got.FirstM - got.NeededM))
			worst = math.Max(worst, d)
			// A step, and the slope of ragged edges across the millionth of a metre the search may be off.
			if d > 3*stepM {
				t.Errorf("at %v: %.4f m to spare, walking %.4f", got.At, got.FirstM-got.NeededM, at.slack(v))
			}
		}
		limit := walk(w, got.LimitAt[1])
		if limit.safe(got.SafeSpeedMS + 0.01) {
			t.Errorf("safe to %.4f m/s by %v, walking is safe above", got.SafeSpeedMS, got.LimitAt)
		}
		for range 12 {
			s := walk(w, got.LaneM[0]+r.Float64()*(got.LaneM[1]-got.LaneM[0]))
			if got.FirstM > 0 && s.slack(v) < got.FirstM-got.NeededM-3*stepM {
				t.Errorf("at y %.5f walking finds %.4f m to spare, less than %.4f", s.y, s.slack(v), got.FirstM-got.NeededM)
			}
			if got.SafeSpeedMS > 0.01 && !s.safe(got.SafeSpeedMS-0.005) {
				t.Errorf("at y %.5f walking is not safe at %.4f m/s", s.y, got.SafeSpeedMS-0.005)
			}
		}
	}
	t.Logf("%d lanes seen, %d not everywhere; worst difference %.2g m", seen, unseen, worst)
	if seen < 5 || unseen < 5 {
		t.Errorf("only %d seen, %d unseen: nothing was tried", seen, unseen)
	}
}
