package planner

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/compare"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Codes of the findings of this package.
const (
	CodeLevelMismatch  = "level-mismatch"
	CodeRangesDisagree = "ranges-disagree"
)

// cardFindings are what the cards of the kinds in use say against each other or against the controller.
func (m *Memory) cardFindings(h *heard) []plan.Finding {
	sc := h.sc
	var fs []plan.Finding
	for i, k := range sc.Kinds {
		names := strings.Join(namesOf(sc, i), ", ")
		if names == "" {
			continue
		}
		if f, ok := levelMismatch(k, sc.Controller); ok {
			f.Where = names
			fs = append(fs, f)
		}
		fs = append(fs, m.disagree.Of(h.kinds[i], func() []plan.Finding { return rangesDisagree(k, sc.Air) })...)
	}
	return fs
}

// namesOf lists the sensors of kind i, those of one entry by its name.
func namesOf(sc *scene.Scene, i int) (names []string) {
	seen := map[string]bool{}
	for _, s := range sc.Sensors {
		name := s.Group
		if name == "" {
			name = s.Name
		}
		if s.Kind == i && !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	return names
}

// bearableV is how far above its own level a pin commonly bears to be driven (common practice, no source).
const bearableV = 0.3

// levelMismatch reports signal pins of a module at another level than the controller's.
func levelMismatch(k scene.Kind, c scene.Controller) (plan.Finding, bool) {
	d := k.PinVolts.X - c.PinVolts
	if k.PinVolts.X <= 0 || c.PinVolts <= 0 || math.Abs(d) <= bearableV {
		return plan.Finding{}, false
	}
	f := plan.Finding{Severity: plan.Look, Code: CodeLevelMismatch}
	f.Text = fmt.Sprintf("the signal pins of %s are at %.2g V (%s), the controller's at %.2g V", k.Name, k.PinVolts.X, k.PinVolts.From, c.PinVolts)
	if d > 0 {
		f.Text += fmt.Sprintf(": what it answers drives the controller's pin %.1f V above its level, which may destroy it, and %.2g V may be too low to ask it", d, c.PinVolts)
		f.Mend = fmt.Sprintf("a divider in each line it answers on (%.2g V down to %.2g V) and, where its card asks for more than %.2g V, a level shifter in each line that asks", k.PinVolts.X, c.PinVolts, c.PinVolts)
		return f, true
	}
	f.Text += fmt.Sprintf(": what asks it is %.1f V above its level, which may destroy it, and %.2g V may be too low for the controller to see its answer", -d, k.PinVolts.X)
	f.Mend = fmt.Sprintf("a divider in each line that asks it (%.2g V down to %.2g V) and, where the controller asks for more than %.2g V, a level shifter in each line it answers on", c.PinVolts, k.PinVolts.X, k.PinVolts.X)
	return f, true
}

// rangesDisagree reports stated ranges of one kind that cannot both be true of one module.
func rangesDisagree(k scene.Kind, air scene.Air) []plan.Finding {
	gains, err := compare.RangeGains(k, air)
	if err != nil {
		return nil // the kind was solved before: only a single range of it fails, and was not used
	}
	db, low, high := compare.Disagree(gains)
	if db <= compare.DisagreeDB {
		return nil
	}
	return []plan.Finding{{
		Severity: plan.Look, Code: CodeRangesDisagree, Where: k.Name,
		Text: fmt.Sprintf("the stated ranges of %s contradict each other: %s asks for a level of %.0f dB at 1 m of path, %s for %.0f dB; what lies between decides everything it sees",
			k.Name, compare.RangeText(low.Range), low.DB, compare.RangeText(high.Range), high.DB),
		Mend: "look again what the card names as target, measure one range on the bench, or say what ended each (ended-by)",
	}}
}
