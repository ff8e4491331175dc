package compare

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// DisagreeDB is how far the stated ranges of one kind may lie apart in what they say of its hearing
// before that is worth a word (common practice, no source: the reading of one figure to its last digit
// and one target taken for another like it make as much).
const DisagreeDB = 3

// RangeGain is what one stated range alone says of a kind: the level over its threshold after 1 m of
// path by a perfect mirror, on axis, without absorption, at the nominal supply. A range that was not
// ended by the threshold says so only at the least.
type RangeGain struct {
	Range scene.Range
	DB    float64
}

// RangeGains solves a kind for each of its stated ranges by itself.
func RangeGains(k scene.Kind, air scene.Air) ([]RangeGain, error) {
	var out []RangeGain
	for _, r := range k.Ranges {
		alone := k
		alone.Ranges = []scene.Range{r}
		alone.Beam.Table = nil // the beam is not asked for
		m, err := acoustics.NewModel(alone, air)
		if err != nil {
			return nil, err
		}
		out = append(out, RangeGain{r, m.Gain().Lo - supplyDB(k.Supply)})
	}
	return out, nil
}

// supplyDB is what the low end of the supply takes off the gain.
func supplyDB(s scene.Supply) float64 {
	if !(s.NominalV.X > 0) || !(s.VoltsV.Lo > 0) {
		return 0
	}
	return 20 * math.Log10(s.VoltsV.Lo/s.NominalV.X)
}

// Disagree reports how far, dB, the stated ranges contradict each other, and the two that do most: one
// that ended by the threshold says what the gain is, any other that it is no less.
func Disagree(gains []RangeGain) (db float64, low, high RangeGain) {
	for _, g := range gains {
		if g.Range.EndedBy != scene.EndedByThreshold {
			continue
		}
		for _, h := range gains {
			if d := h.DB - g.DB; d > db {
				db, low, high = d, g, h
			}
		}
	}
	return db, low, high
}

// RangeText names a stated range: "4.00 m against wall".
func RangeText(r scene.Range) string { return plan.Metres(r.M.X) + " against " + r.Against.Name }

// gain is the row from which all ranges follow: the arithmetic of each stated range and of the supply.
func gain(k scene.Kind, m *acoustics.Model, air scene.Air) Cell {
	gains, err := RangeGains(k, air)
	if err != nil {
		return Cell{Is: "unknown", From: err.Error()}
	}
	var terms []string
	for _, g := range gains {
		terms = append(terms, fmt.Sprintf("%s (%s): %s = %.1f", RangeText(g.Range), g.Range.EndedBy, rangeSum(k, g), g.DB))
	}
	from := strings.Join(terms, "; ")
	if m.MarginDB() > 0 {
		from += "; none ended by the threshold, so the greatest is taken and the module may hear farther"
	} else if len(gains) > 1 {
		from += "; the least of those ended by the threshold counts for what is seen, the greatest for disturbance, the bench's alone where there are any"
	}
	low := supplyDB(k.Supply)
	from += fmt.Sprintf("; %.1f at %.3g V, and at %.3g V %.1f", m.Gain().Lo-low, k.Supply.NominalV.X, k.Supply.VoltsV.Lo, m.Gain().Lo)
	if db, a, b := Disagree(gains); db > DisagreeDB {
		from += fmt.Sprintf("; the stated ranges contradict each other by %.0f dB: %s and %s", db, RangeText(a.Range), RangeText(b.Range))
	}
	return Cell{Is: fmt.Sprintf("%.1f dB", m.Gain().Lo), From: from}
}

// rangeSum writes out the level that a stated range needs.
func rangeSum(k scene.Kind, g RangeGain) string {
	r := g.Range
	air := acoustics.Weather{TemperatureC: r.TemperatureC, HumidityPct: r.HumidityPct, PressurePa: r.PressurePa}
	if !(air.PressurePa > 0) {
		air = acoustics.Reference
	}
	terms := fmt.Sprintf("20 lg(2 x %.2f)%s", r.M.X, curved(" + ", r.Against, r.M.X))
	alpha := acoustics.Absorption(k.CarrierHz.X, air)
	terms += fmt.Sprintf(" + %.2f x %.2f", alpha, 2*r.M.X)
	if r.Against.LossDB.X > 0 {
		terms += fmt.Sprintf(" + %.0f", r.Against.LossDB.X)
	}
	plain := 20*math.Log10(2*r.M.X) + curvedDB(r.Against, r.M.X) + 2*alpha*r.M.X + r.Against.LossDB.X
	if rise := g.DB - plain; math.Abs(rise) > 0.05 {
		terms += fmt.Sprintf(" + %.1f of threshold then", rise)
	}
	return terms
}

// curved is the term by which a curved target answers less than a flat one, "" for a flat one.
func curved(sign string, t scene.Target, r float64) string {
	switch t.Shape {
	case scene.Post, scene.Bar:
		return fmt.Sprintf("%s10 lg((%.2f+%.3g)/%.3g)", sign, r, t.RadiusM, t.RadiusM)
	case scene.Sphere:
		return fmt.Sprintf("%s20 lg((%.2f+%.3g)/%.3g)", sign, r, t.RadiusM, t.RadiusM)
	}
	return ""
}

func curvedDB(t scene.Target, r float64) float64 {
	switch t.Shape {
	case scene.Post, scene.Bar:
		return 10 * math.Log10((r+t.RadiusM)/t.RadiusM)
	case scene.Sphere:
		return 20 * math.Log10((r+t.RadiusM)/t.RadiusM)
	}
	return 0
}
