package compare

import (
	"fmt"
	"strings"

	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Sources lists the values of a kind, a line each, with where each comes from.
func Sources(k scene.Kind) string {
	var b strings.Builder
	line := func(what, is string, from scene.Source) {
		if from == "" {
			return
		}
		fmt.Fprintf(&b, "  %-11s %s: %s\n", from, what, is)
	}
	line("carrier", fmt.Sprintf("%.4g kHz", k.CarrierHz.X/1000), k.CarrierHz.From)
	line("its spread", fmt.Sprintf("±%.3g kHz", k.SpreadHz.X/1000), k.SpreadHz.From)
	if k.Pair {
		line("spacing of the pair", plan.Millimetres(k.PairSpacingM.X), k.PairSpacingM.From)
	}
	for _, r := range k.Ranges {
		line("range", fmt.Sprintf("%s, ended by %s", RangeText(r), r.EndedBy), r.M.From)
	}
	line("blind distance", plan.Millimetres(k.BlindM.X), k.BlindM.From)
	line("beam across", fmt.Sprintf("%.0f deg", k.Beam.Across.Degrees()), k.Beam.AcrossFrom)
	line("beam upright", fmt.Sprintf("%.0f deg", k.Beam.Upright.Degrees()), k.Beam.UprightFrom)
	line("beam never below", fmt.Sprintf("%.0f dB", k.Beam.NeverBelowDB.X), k.Beam.NeverBelowDB.From)
	line("burst", fmt.Sprintf("%.3g ms", k.Timing.Burst.Seconds()*1000), k.Timing.BurstFrom)
	line("line held when nothing answers", fmt.Sprintf("%.4g ms", k.Timing.BusyWithoutEcho.Seconds()*1000), k.Timing.BusyFrom)
	line("nominal supply", fmt.Sprintf("%.3g V", k.Supply.NominalV.X), k.Supply.NominalV.From)
	line("average current", fmt.Sprintf("%.3g mA", k.Supply.AverageA.X*1000), k.Supply.AverageA.From)
	line("peak current", fmt.Sprintf("%.3g mA", k.Supply.PeakA.X*1000), k.Supply.PeakA.From)
	line("level of its pins", fmt.Sprintf("%.2g V", k.PinVolts.X), k.PinVolts.From)
	if k.AssumedSpeed.X > 0 {
		line("speed of sound it takes", fmt.Sprintf("%.0f m/s", k.AssumedSpeed.X), k.AssumedSpeed.From)
	}
	return b.String()
}
