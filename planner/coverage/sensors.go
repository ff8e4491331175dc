package coverage

import (
	"fmt"
	"slices"
	"strings"

	"echowright/planner/acoustics"
	"echowright/planner/plan"
)

// sensorFindings tells what concerns a sensor rather than a zone.
func (st *study) sensorFindings() (all []plan.Finding) {
	for i := range st.listeners {
		all = append(all, st.readingFindings(i)...)
		stares := false
		for _, o := range st.obstacles {
			fs := mountFindings(&st.listeners[i], o)
			stares = stares || len(o.onlyIn) == 0 && slices.ContainsFunc(fs, func(f plan.Finding) bool { return f.Code == CodeStares })
			all = append(all, fs...)
		}
		if !stares { // else it has been said why it sees nothing
			all = append(all, st.blindSensor(i)...)
		}
	}
	return all
}

// mountFindings tells how a sensor stands to one obstacle, where that is not on its outside.
func mountFindings(l *listener, o obstacle) []plan.Finding {
	f := plan.Finding{Severity: plan.Note, Code: CodeHousing, Where: where(l.mount.Name, strings.Join(o.onlyIn, " and "))}
	eye, ok := o.eye(l.mount)
	behind := eye.Sub(l.mount.At).Norm()
	switch {
	case o.staresInto(l.mount):
		f.Severity, f.Code = plan.Look, CodeStares
		f.Text = fmt.Sprintf("looks straight into %s, against which it stands: it sees nothing past it", o.name)
		f.Mend = "turn it away, or mount it on the far side, or above or below its heights"
	case !ok:
		f.Text = fmt.Sprintf("stands above or below %s: no shadow and no answer of %s is reckoned for it", o.name, o.name)
	case behind > acoustics.MountedOnM:
		f.Text = fmt.Sprintf("stands inside %s, %s behind where its heading leaves it: it is taken to look out of there, with the rest of %s in its way", o.name, plan.Metres(behind), o.name)
		if behind > deepM {
			f.Severity = plan.Look
			f.Text += "; a hole so deep narrows the beam, which is not reckoned"
		}
		f.Mend = "place it on the outline if it does not stand back in it"
	default:
		return nil
	}
	return []plan.Finding{f}
}

// readingFindings tells of each constant reading once, with the states in which it stands.
func (st *study) readingFindings(sensor int) (all []plan.Finding) {
	for i := range st.readings[sensor] {
		m := &st.readings[sensor][i]
		f := plan.Finding{Severity: plan.Look, Code: CodeOwnPart, Mend: st.mendOneReading(sensor, m)}
		if m.obstacle < 0 {
			f.Code = CodeGround
		}
		state := ""
		if m.obstacle >= 0 && len(st.obstacles[m.obstacle].onlyIn) > 0 {
			state = strings.Join(st.obstacles[m.obstacle].onlyIn, " and ")
		}
		f.Where = where(st.nameOf(sensor), state)
		f.Text = m.String() + ": it reports nothing beyond"
		if !m.Always() {
			f.Text = m.String() + ": where it does, it reports nothing beyond"
		}
		all = append(all, f)
	}
	return all
}

// mendOneReading says what rids one sensor of a reading, and what becomes of the zones once all that have it
// are rid of it.
func (st *study) mendOneReading(sensor int, m *reading) string {
	plain := fmt.Sprintf("turn, tilt or move it so that %s is out of its beam", m.name())
	for _, c := range st.cures {
		i := slices.IndexFunc(c.changes, func(o change) bool { return o.sensor == sensor })
		if c.obstacle != m.obstacle || i < 0 {
			continue
		}
		tried := "tried"
		if state := st.states[c.state]; state != "" {
			tried += " in " + state
		}
		text := c.changes[i].say("it") + ": it then reads " + m.name() + " no more, and with "
		if n := len(c.changes) - 1; n > 0 {
			return text + fmt.Sprintf("%s changed likewise %s (%s)", counted(n, "other sensor"), c.all(), tried)
		}
		return text + "that alone " + c.all() + " (" + tried + ")"
	}
	return plain
}

// blindSensor tells of a sensor that sees nothing of the targets asked for, or nothing inside any zone.
func (st *study) blindSensor(sensor int) []plan.Finding {
	sees, watches := false, false
	for _, g := range st.groups {
		for i, v := range g.verdicts {
			sees = sees || !v.hearings[sensor].final.IsEmpty()
			watches = watches || g.overlap[sensor][len(st.listeners)+i] > 0
		}
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
