package acoustics

import (
	"fmt"
	"slices"

	"echowright/planner/scene"
)

// Assumptions names the estimates of this package that can decide something in a scene: those no card and
// no layout states. What a card may state, such as the level a beam never falls below, counts with its kind.
func Assumptions(sc *scene.Scene) (all []scene.Assumption) {
	add := func(key, format string, args ...any) {
		all = append(all, scene.Assumption{Key: "acoustics." + key, Text: fmt.Sprintf(format, args...), Deciding: true})
	}
	g := sc.Around.Ground
	if sigma, rough := groundScatter[g]; rough && len(sc.Sensors) > 0 {
		add("ground-scatter", "%s is taken to scatter back %.0f dB for a square metre looked at squarely", g, sigma)
		if slices.ContainsFunc(sc.Kinds, func(k scene.Kind) bool { return k.Timing.Burst == 0 }) {
			add("burst", "a burst of unstated length is taken to last %.0f us on the ground", noBurst*1e6)
		}
	}
	if loss := cornerLoss[g]; loss > 0 && anyCorner(sc) {
		add("corner-loss", "the corner of an upright face with %s is taken to lose %.0f dB", g, loss)
	}
	if slices.ContainsFunc(sc.Body.Parts, func(p scene.Part) bool { return p.RadiusM == 0 }) {
		add("edge-radius", "edges and corners of the machine are taken to answer as if rounded to %.0f mm", EdgeRadiusM*1000)
	}
	if slices.ContainsFunc(sc.Kinds, func(k scene.Kind) bool { return supplyShift(k.Supply) != scene.Span{} }) {
		add("supply", "a burst is taken to be as many dB louder as its supply is: 6 dB for twice the voltage")
	}
	if slices.ContainsFunc(sc.Kinds, unsure) {
		add("unsure-range", "a module whose stated range was not ended by its threshold is taken to hear %d dB more for disturbance", UnsureMarginDB)
	}
	return all
}

// anyCorner reports whether some target asked for stands too low for some sensor to be seen but through its
// corner with the ground.
func anyCorner(sc *scene.Scene) bool {
	return slices.ContainsFunc(sc.Zones, func(z scene.Zone) bool {
		return slices.ContainsFunc(sc.Sensors, func(s scene.Sensor) bool {
			w, ok := answerOf(sc.Targets[z.Target], s.HeightM, sc.Around.Ground)
			return ok && w.loss > sc.Targets[z.Target].LossDB.X
		})
	})
}

// unsure reports whether no stated range of a kind was ended by its threshold.
func unsure(k scene.Kind) bool {
	return !slices.ContainsFunc(k.Ranges, func(r scene.Range) bool { return r.EndedBy == scene.EndedByThreshold })
}
