package coverage

import (
	"fmt"
	"strings"

	"echowright/geometry/region"
	"echowright/planner/plan"
)

// sensorFindings tells what concerns a sensor rather than a zone.
func (st *study) sensorFindings() (all []plan.Finding) {
	for i := range st.listeners {
		all = append(all, st.readingFindings(i)...)
		all = append(all, st.blindSensor(i)...)
		for _, o := range st.obstacles {
			if l := &st.listeners[i]; o.holds(l.mount) {
				all = append(all, plan.Finding{
					Severity: plan.Note, Code: CodeHousing, Where: l.mount.Name,
					Text: fmt.Sprintf("stands inside the outline of %s as seen from above: it is taken to look out of it freely, and no shadow or answer of %s is reckoned for it", o.name, o.name),
					Mend: "place it on the outline if it does not stand back in it",
				})
			}
		}
	}
	return all
}

// readingFindings tells of each constant reading once, with the states in which it stands.
func (st *study) readingFindings(sensor int) (all []plan.Finding) {
	for i := range st.readings[sensor] {
		m := &st.readings[sensor][i]
		code, what := CodeOwnPart, m.what
		if m.obstacle < 0 {
			code, what = CodeGround, "the ground"
		}
		state := ""
		if m.obstacle >= 0 && len(st.obstacles[m.obstacle].onlyIn) > 0 {
			state = strings.Join(st.obstacles[m.obstacle].onlyIn, " and ")
		}
		f := plan.Finding{
			Severity: plan.Look, Code: code, Where: where(st.nameOf(sensor), state),
			Text: fmt.Sprintf("always reads %s, up to %.0f dB over its threshold, %s from it: it reports nothing beyond", what, m.levelDB, plan.Metres(m.reads)),
		}
		if len(st.targets) > 0 {
			f.Mend = st.mendReading(&hearing{listener: &st.listeners[sensor], mask: m})
		}
		all = append(all, f)
	}
	return all
}

// blindSensor tells of a sensor that sees nothing of the targets asked for, or nothing inside any zone.
func (st *study) blindSensor(sensor int) []plan.Finding {
	sees, watches := false, false
	for _, v := range st.verdicts {
		h := v.hearings[sensor]
		sees = sees || !h.final.IsEmpty()
		watches = watches || h.final.Bounds().Intersects(v.region.Bounds()) && !region.Intersect(h.final, v.region).IsEmpty()
	}
	f := plan.Finding{Severity: plan.Look, Where: st.nameOf(sensor)}
	switch {
	case len(st.verdicts) == 0 || watches:
		return nil
	case !sees:
		f.Code, f.Text, f.Mend = CodeNothing, "sees none of the targets asked for at any place", "look at its height and tilt against the targets' heights, and at what stands before it"
	default:
		f.Code, f.Text, f.Mend = CodeUnwatched, "sees targets, but nowhere inside a zone", "turn it towards a zone, or leave it out"
	}
	return []plan.Finding{f}
}
