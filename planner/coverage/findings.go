package coverage

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/plan"
)

// The codes of this package's findings.
const (
	CodeShare     = "share-missed"
	CodeGap       = "gap-too-wide"
	CodeTight     = "within-drawing-error"
	CodeNoZone    = "zone-inside-machine"
	CodeBlind     = "blind-" // and the cause, words joined by hyphens
	CodeSlivers   = "slivers-left-out"
	CodeOwnPart   = "reads-own-part"
	CodeGround    = "reads-ground"
	CodeNothing   = "sees-nothing"
	CodeHousing   = "looks-out-of-housing"
	CodeUnwatched = "sensor-watches-no-zone"
	CodeStares    = "looks-into-own-part"
	CodeWide      = "wide-angles"
)

// Codes lists every code a finding of this package can have, one for each cause of a blind spot included.
func Codes() []string {
	codes := []string{
		CodeShare, CodeGap, CodeTight, CodeNoZone, CodeSlivers, CodeOwnPart, CodeGround, CodeNothing, CodeHousing, CodeUnwatched,
		CodeStares, CodeWide,
	}
	for _, cause := range Causes() {
		codes = append(codes, blindCode(cause))
	}
	return codes
}

// blindCode is the code of a blind spot's cause.
func blindCode(cause string) string { return CodeBlind + strings.ReplaceAll(cause, " ", "-") }

// findings lists what the builder should know: zones first, then sensors.
func (st *study) findings() (all []plan.Finding) {
	for _, v := range st.verdicts {
		all = append(all, st.demandFindings(v)...)
		all = append(all, st.causeFindings(v)...)
	}
	return append(all, st.sensorFindings()...)
}

// where names a zone or sensor and, if there are several, the state.
func where(name, state string) string {
	if state == "" {
		return name
	}
	return name + ", " + state
}

// place puts a point into words.
func (st *study) place(at [2]float64) string {
	return plan.Body{Outline: plan.RingOf(st.sc.Body.Outline)}.Place(at)
}

func (st *study) demandFindings(v *verdict) (all []plan.Finding) {
	add := func(severity, code, mend, text string, args ...any) {
		all = append(all, plan.Finding{Severity: severity, Code: code, Where: where(v.zone.Name, v.state), Text: fmt.Sprintf(text, args...), Mend: mend})
	}
	f := v.figures
	if f.area == 0 {
		add(plan.NotMet, CodeNoZone, "let the zone reach beyond the outline of the machine", "nothing of the zone is left once the machine itself is taken out: nothing was checked")
		return all
	}
	mend, try := st.mendFor(v)
	if !v.shareMet {
		add(plan.NotMet, CodeShare, mend, "%s of %s seen%s, %.4g %% asked: %s too little; unseen are %s",
			plan.Percent(f.covered, f.area, v.areaError()), plan.SquareMetres(f.area), bySeveral(v.zone.SeenBy), 100*v.zone.Share,
			plan.SquareMetres(v.zone.Share*f.area-f.covered), causeShares(v))
	}
	if !v.gapMet {
		add(plan.NotMet, CodeGap, mend, "a round thing %s hides %s%s; %s asked",
			wide(v.blind.widest, v.blind.limited), st.place(pair(v.blind.widest.centre)), causeOf(st, v.widestSpot()), plan.Millimetres(v.zone.GapM))
	}
	for i := range all {
		all[i].Try = try
	}
	if v.shareTight {
		add(plan.Look, CodeTight, "leave more margin, or ask for a finer drawing", "the share of %s is %s from the %.4g %% asked, less than the %s that the drawing's own error of %s may shift: take the verdict as open",
			plan.Percent(f.covered, f.area, 0), plan.SquareMetres(math.Abs(f.covered-v.zone.Share*f.area)), 100*v.zone.Share, plan.SquareMetres(v.areaError()), plan.Millimetres(v.errM))
	}
	if v.gapTight {
		add(plan.Look, CodeTight, "leave more margin, or ask for a finer drawing", "the widest gap, %.1f mm, is within %.1f mm of the %.1f mm asked, less than the drawing's own error may shift: take the verdict as open",
			1000*v.widest(), 1000*v.gapError(), 1000*v.zone.GapM)
	}
	return append(all, wideFindings(v)...)
}

// wide is the width of a hidden thing; one held between the zone's own borders may be wider.
func wide(d disc, limited bool) string {
	if limited {
		return "at least " + plan.Millimetres(2*d.radius) + " wide (as much as the zone is deep)"
	}
	return plan.Millimetres(2*d.radius) + " wide"
}

// worthSaying is the share of a zone that may rest on doubtful directions before it is said.
const worthSaying = 0.05

// wideFindings tells when a verdict, or a fair share of what is seen, rests on directions far off the axis,
// where a piston says little about a real module.
func wideFindings(v *verdict) []plan.Finding {
	if v.sure == nil || v.figures.area == 0 {
		return nil
	}
	seen, sure := v.figures, v.sure.figures
	shareFlips, gapFlips := v.shareMet && !v.sure.shareMet, v.gapMet && !v.sure.gapMet
	if !shareFlips && !gapFlips && seen.covered-sure.covered <= worthSaying*seen.area {
		return nil
	}
	f := plan.Finding{
		Severity: plan.Note, Code: CodeWide, Where: where(v.zone.Name, v.state),
		Text: fmt.Sprintf("%s seen, but only %s within 60 deg of a sensor's heading: farther off, the beam of a real module is seldom that of the model",
			plan.Percent(seen.covered, seen.area, v.areaError()), plan.Percent(sure.covered, sure.area, v.sure.areaError())),
		Mend: "measure the beam beyond 60 deg on the bench, or let another sensor face these places",
	}
	if shareFlips || gapFlips {
		f.Severity = plan.Look
		var lost []string
		if shareFlips {
			lost = append(lost, fmt.Sprintf("the %.4g %% asked would be missed", 100*v.zone.Share))
		}
		if gapFlips {
			lost = append(lost, fmt.Sprintf("the widest gap would be %s, %s asked", plan.Millimetres(v.sure.widest()), plan.Millimetres(v.zone.GapM)))
		}
		f.Text += "; without that " + strings.Join(lost, " and ")
	}
	return []plan.Finding{f}
}

// bySeveral adds to "seen" how many sensors were asked for, unless one suffices.
func bySeveral(n int) string {
	if n <= 1 {
		return ""
	}
	return fmt.Sprintf(" by %d or more", n)
}

// millimetresUp rounds a length up to the next whole millimetre, so that what is allowed suffices.
func millimetresUp(m float64) string { return fmt.Sprintf("%.0f mm", math.Ceil(1000*m-1e-6)) }

// widestSpot is the spot that holds the widest gap; nil when every piece is a sliver.
func (v *verdict) widestSpot() *spot {
	if len(v.blind.spots) == 0 {
		return nil
	}
	return &v.blind.spots[0]
}

// causeOf puts a spot's cause and who comes nearest to seeing it into words.
func causeOf(st *study, s *spot) string {
	if s == nil {
		return ""
	}
	text := ": " + s.cause
	switch {
	case s.part != "":
		text += " (" + st.nameOf(s.sensor) + ", " + s.part + ")"
	case s.sensor >= 0 && s.cause != OutsideBeams:
		text += " (" + st.nameOf(s.sensor) + ")"
	}
	return text
}

// class is all spots of a verdict with one cause and one part, widest first.
type class struct {
	cause, part string
	spots       []*spot
	area        float64 // m²
}

// classes gathers the spots of a verdict; the class of the widest spot comes first.
func (v *verdict) classes() (all []*class) {
next:
	for i := range v.blind.spots {
		s := &v.blind.spots[i]
		for _, c := range all {
			if c.cause == s.cause && c.part == s.part {
				c.spots, c.area = append(c.spots, s), c.area+s.area
				continue next
			}
		}
		all = append(all, &class{s.cause, s.part, []*spot{s}, s.area})
	}
	return all
}

// causeShares lists the unseen area by cause.
func causeShares(v *verdict) string {
	var words []string
	for _, c := range v.classes() {
		text := plan.SquareMetres(c.area) + " " + c.cause
		if c.part != "" {
			text += " (" + c.part + ")"
		}
		words = append(words, text)
	}
	if v.blind.slivers > worthTelling {
		words = append(words, plan.SquareMetres(v.blind.slivers)+" in slivers")
	}
	return strings.Join(words, ", ")
}

// width says how wide a thing a spot hides: by itself, and in the whole gap when that is more than err wider.
func (s *spot) width(err float64) string {
	if s.hides.radius <= s.own.radius+err {
		return "a thing " + wide(s.hides, s.limited)
	}
	return fmt.Sprintf("%s by itself and is part of a gap %s", plan.Millimetres(2*s.own.radius), wide(s.hides, s.limited))
}

// worthTelling is the area of slivers below which nothing is said of them: a square millimetre.
const worthTelling = 1e-6

// causeFindings tells of each cause in a zone: how much, the widest, where, why, and what would mend it.
func (st *study) causeFindings(v *verdict) (all []plan.Finding) {
	severity := plan.Note
	if !v.met() {
		severity = plan.Look
	}
	for _, c := range v.classes() {
		s := c.spots[0]
		all = append(all, plan.Finding{
			Severity: severity, Code: blindCode(c.cause), Where: where(v.zone.Name, v.state),
			Text: fmt.Sprintf("%s, %s unseen%s; the widest hides %s, %s%s", counted(len(c.spots), "place"), plan.SquareMetres(c.area), causeOf(st, s),
				s.width(v.errM), st.place(pair(s.own.centre)), st.why(v, s)),
			Mend: st.mend(v, c), Try: st.tryFor(v, c),
		})
	}
	if v.blind.slivers > worthTelling {
		all = append(all, plan.Finding{
			Severity: plan.Note, Code: CodeSlivers, Where: where(v.zone.Name, v.state),
			Text: fmt.Sprintf("%s unseen in strips narrower than the drawing's error of %s are counted in the areas but not listed as blind spots",
				plan.SquareMetres(v.blind.slivers), plan.Millimetres(v.errM)),
		})
	}
	return all
}
