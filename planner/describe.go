package planner

import (
	"slices"

	"echowright/planner/acoustics"
	"echowright/planner/firing"
	"echowright/planner/plan"
	"echowright/planner/recall"
	"echowright/planner/scene"
)

func weather(w acoustics.Weather) plan.Weather {
	return plan.Weather{TemperatureC: w.TemperatureC, HumidityPct: w.HumidityPct, PressurePa: w.PressurePa}
}

func ends(s scene.Span) [2]float64 { return [2]float64{s.Lo, s.Hi} }

func around(a scene.Around) plan.Around {
	return plan.Around{Ground: string(a.Ground), WallsM: ends(a.WallsM), Bounces: a.Bounces}
}

func body(b scene.Body) plan.Body {
	out := plan.Body{Outline: plan.RingOf(b.Outline), HeightM: ends(b.HeightM)}
	for _, p := range b.Parts {
		out.Parts = append(out.Parts, plan.Part{Name: p.Name, Outline: plan.RingOf(p.Outline), HeightM: ends(p.HeightM), OnlyIn: p.OnlyIn})
	}
	return out
}

func targets(ts []scene.Target) (out []plan.Target) {
	for _, t := range ts {
		out = append(out, plan.Target{Name: t.Name, Shape: string(t.Shape), RadiusM: t.RadiusM, HeightM: ends(t.HeightM), LossDB: t.LossDB.X, Turned: ends(t.Turned)})
	}
	return out
}

func (mem *Memory) sensors(h *heard) (out []plan.Sensor) {
	sc := h.sc
	for i, s := range sc.Sensors {
		m, c := h.ears[i].Model(), h.clocks[i]
		across, upright := m.SemiAxes()
		least, most := m.AbsorptionExtremes()
		out = append(out, plan.Sensor{
			Name: s.Name, Kind: sc.Kinds[s.Kind].Name, X: s.At.X, Y: s.At.Y, Z: s.HeightM,
			Heading: s.Heading.Radians(), Tilt: s.Tilt.Radians(), FrequencyHz: m.Frequency(),
			AbsorptionDBm: [2]float64{least.Value, most.Value}, AbsorptionAt: [2]plan.Weather{weather(least.At), weather(most.At)},
			BlindUntilUs: c.DeafUs, ListenUntilUs: c.CloseUs, BusyUs: c.BusyUs,
			GainDB: ends(m.Gain()), BlindM: m.BlindM(), ListenM: c.ListenM,
			Beam:         plan.Beam{Shape: m.BeamShape(), SemiAxesM: [2]float64{across, upright}, FloorDB: m.FloorDB()},
			ReadingError: m.ReadingError(), OnAxis: mem.onAxis(h, s.Kind, m, c),
		})
	}
	return out
}

// onAxis is how far a module sees each target that some zone asks for, no farther than its window.
func (mem *Memory) onAxis(h *heard, kind int, m *acoustics.Model, c firing.Clock) (out []plan.Reach) {
	sc := h.sc
	for i, t := range sc.Targets {
		if !slices.ContainsFunc(sc.Zones, func(z scene.Zone) bool { return z.Target == i }) {
			continue
		}
		r := plan.Reach{Target: t.Name, FromM: m.BlindM(), EndedBy: plan.EndedByEcho}
		r.ToM = mem.reaches.Of(recall.Of(h.kinds[kind], t), func() float64 {
			most, _ := m.ReachM(t)
			return most
		})
		if r.ToM > c.ListenM {
			r.ToM, r.EndedBy = c.ListenM, plan.EndedByWindow
		}
		if r.ToM <= r.FromM {
			r.ToM = 0
		}
		out = append(out, r)
	}
	return out
}

// curvePoints is how many places of a level curve are worked out.
const curvePoints = 60

// curves are those of a scene, as functions of what decides them.
func (mem *Memory) curves(h *heard) []plan.Curve {
	mounted := make([]bool, len(h.kinds))
	for _, s := range h.sc.Sensors {
		mounted[s.Kind] = true
	}
	key := recall.Of(h.kinds, mounted, h.sc.Targets, h.sc.References)
	return mem.drawn.Of(key, func() []plan.Curve { return curves(h.sc, h.ears) })
}

// curves are level over distance for every kind in use against every target of the layout and the references.
func curves(sc *scene.Scene, ears []*acoustics.Ear) (out []plan.Curve) {
	targets := slices.Clone(sc.Targets)
	for _, t := range sc.References {
		if !slices.ContainsFunc(targets, func(have scene.Target) bool { return have.Name == t.Name }) {
			targets = append(targets, t)
		}
	}
	for i := range sc.Kinds {
		m := modelOf(sc, ears, i)
		if m == nil {
			continue
		}
		far := 0.0
		for _, t := range targets {
			_, least := m.ReachM(t)
			far = max(far, least)
		}
		if far == 0 {
			continue
		}
		dists := make([]float64, curvePoints)
		for k := range dists {
			dists[k] = 1.1 * far * float64(k+1) / curvePoints
		}
		for _, t := range targets {
			c := plan.Curve{Kind: sc.Kinds[i].Name, Target: t.Name}
			c.ReachM[0], c.ReachM[1] = m.ReachM(t)
			for k, level := range m.Curve(t, acoustics.Certain, dists) {
				c.Points = append(c.Points, [2]float64{dists[k], level})
			}
			out = append(out, c)
		}
	}
	return out
}

// modelOf is the model of kind i, from any sensor that has it.
func modelOf(sc *scene.Scene, ears []*acoustics.Ear, i int) *acoustics.Model {
	for k, s := range sc.Sensors {
		if s.Kind == i {
			return ears[k].Model()
		}
	}
	return nil
}
