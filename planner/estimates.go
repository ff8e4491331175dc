package planner

import (
	"fmt"
	"slices"

	"echowright/planner/acoustics"
	"echowright/planner/coverage"
	"echowright/planner/crosstalk"
	"echowright/planner/scene"
)

// deciding lists the values of the kinds in use that decide the answer, and which of them are guesses.
func deciding(sc *scene.Scene) (total int, guesses []string) {
	for _, k := range sc.Kinds {
		for _, v := range decidingOf(k) {
			total++
			if v.from.Estimated() {
				guesses = append(guesses, fmt.Sprintf("%s: %s (%s)", k.Name, v.what, v.from))
			}
		}
	}
	for _, t := range sc.Targets {
		if t.LossDB.From == "" {
			continue
		}
		total++
		if t.LossDB.From.Estimated() {
			guesses = append(guesses, fmt.Sprintf("%s: reflection loss of its surface %.0f dB (%s)", t.Name, t.LossDB.X, t.LossDB.From))
		}
	}
	return total, guesses
}

// ourEstimates are what the planner itself takes for granted where no card and no layout can say
// otherwise; each decides something and none is measured, so all of them count.
func ourEstimates(sc *scene.Scene) []scene.Assumption {
	return slices.Concat(acoustics.Assumptions(sc), coverage.Assumptions(sc), crosstalk.Assumptions())
}

type decidingValue struct {
	what string
	from scene.Source
}

// decidingOf are the values of one kind from which lobes, windows and disturbance follow.
func decidingOf(k scene.Kind) []decidingValue {
	vs := []decidingValue{
		{fmt.Sprintf("carrier %.4g kHz", k.CarrierHz.X/1000), k.CarrierHz.From},
		{fmt.Sprintf("blind distance %.0f mm", k.BlindM.X*1000), k.BlindM.From},
		{fmt.Sprintf("beam width across %.0f deg", k.Beam.Across.Degrees()), k.Beam.AcrossFrom},
		{fmt.Sprintf("beam width upright %.0f deg", k.Beam.Upright.Degrees()), k.Beam.UprightFrom},
		{fmt.Sprintf("level the beam never falls below %.0f dB", k.Beam.NeverBelowDB.X), k.Beam.NeverBelowDB.From},
		{fmt.Sprintf("burst of %.0f us", float64(k.Timing.Burst.Microseconds())), k.Timing.BurstFrom},
		{fmt.Sprintf("line held %.0f ms when nothing answers", k.Timing.BusyWithoutEcho.Seconds()*1000), k.Timing.BusyFrom},
		{fmt.Sprintf("nominal supply %.2g V", k.Supply.NominalV.X), k.Supply.NominalV.From},
	}
	for _, r := range k.Ranges {
		vs = append(vs, decidingValue{fmt.Sprintf("range %.2f m against %s", r.M.X, r.Against.Name), r.M.From})
	}
	return vs
}
