package resolve

import (
	"fmt"
	"strings"
	"testing"
)

// Every refusal names the place, what is wrong and what would be right. Each case alters one text of base.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ from, to, at, wrong, right string }{
		{"kind: mine, at", "kind: mien, at", "kind: ", `there is no kind of module "mien"`, `did you mean "mine"?`},
		{"kind: sealed-serial", "kind: sealed", "kind: ", `there is no kind of module "sealed"`, "kinds known: mine, open-pair-5v"},
		{"like: open-pair-5v", "like: open-pair-5", "like: ", `no kind of module "open-pair-5" to be like`, `did you mean "open-pair-5v"?`},
		{"{like: open-pair-5v, blind: 40 mm}", "{like: mine, blind: 40 mm}", "like: ", `there is no kind of module "mine" to be like`, ""},
		{"{like: open-pair-5v, blind: 40 mm}", "{like: hers}\n  hers: {like: mine}", "hers: {like: ", "circle: mine, hers, mine", "stand by itself"},
		{"{like: open-pair-5v, blind: 40 mm}", "{blind: 40 mm}", "mine: ", `kind "mine" has no range`, "range: {value: 4 m"},
		{"{like: open-pair-5v, blind: 40 mm}", "{like: open-pair-5v, range: {value: 2 m, against: lag}}", "against: ", `there is no target "lag"`, `did you mean "leg"?`},
		{"blind: 40 mm}", "blind: 40 mm}\n  spare: {like: nothing}", "spare: {like: ", `no kind of module "nothing"`, "kinds known"},
		{"blind: 40 mm}", "beam: {table: [[-30 deg, 0 deg, 0.8 m], [10 deg, 0 deg, 2.2 m], [30 deg, 0 deg, 0.8 m]], against: leg}}", "table: ", `kind "mine": the beam table has no point on the axis`, "[0 deg, 0 deg, 2.2 m]"},
		{"blind: 40 mm}", "beam: {table: [[-30 deg, 0 deg, 0.8 m], [0 deg, 0 deg, 0 m], [30 deg, 0 deg, 0.8 m]], against: leg}}", "0.8 m], ", `kind "mine": the beam table hears nothing on the axis`, "straight ahead"},
		{"blind: 40 mm}", "beam: {table: [[0 deg, 0 deg, 2 m], [30 deg, 5 deg, 0.8 m], [30 deg, 5 deg, 0.7 m]], against: leg}}", "0.8 m], ", `kind "mine": the beam table has bearing 30 deg, elevation 5 deg twice`, "one range"},
		{"blind: 40 mm}", "beam: {table: [[0 deg, 0 deg, 2 m], [30 deg, 0 deg, 0.8 m], [40 deg, 0 deg, -1 m]], against: leg}}", "0.8 m], ", `kind "mine": a range of -1 m is below zero`, "0 m where nothing"},
		{"blind: 40 mm}", "blind: 40 mm}\n  spare: {like: mine, beam: {table: [[1 deg, 0 deg, 2 m], [30 deg, 0 deg, 0.8 m], [40 deg, 0 deg, 1 m]], against: leg}}", "table: ", `kind "spare": the beam table has no point on the axis`, ""},
		{"target: leg", "target: post 75", "target: ", `there is no target "post 75"`, `did you mean "post-75"?`},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm", "rectangle: [1.2 m, 0.8 m], corner: 450 mm", "corner: ", "corner radius of 450 mm does not fit a rectangle of 1.2 m by 800 mm", "at most 400 mm"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "polygon: [[1 m, 1 m], [-1 m, -1 m], [-1 m, 1 m], [1 m, -1 m]]", "polygon: ", "the outline crosses or touches itself at (0 mm, 0 mm)", "in order"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "polygon: [[1 m, 1 m], [-1 m, -1 m], [0 m, 0 m]]", "polygon: ", "the outline encloses nothing", "not in one line"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "rectangle: [1.2 m, 0.8 m], centre: [0 m, 1 m]", "rectangle: ", "x axis", "round the origin"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "path: M 0 0 L 1", "path: ", "the path cannot be read: path data at byte 9", "SVG path"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "path: M 9 9 H -9 V -9 H 9 Z M 1 1 H -1 V -1 H 1 Z", "path: ", "the path has 2 closed curves", "outer border"},
		{"[-0.9 m, 0.2 m], [-0.9 m, -0.2 m]", "[-0.9 m, -0.2 m], [-0.9 m, 0.2 m]", "polygon: ", `part "flap" crosses or touches itself at (-750 mm, 0 mm)`, ""},
		{"at: {from: front, left: 50 mm}", "at: {from: front, left: 500 mm}", "left: ", "the front side reaches from -370.7 mm to 370.7 mm, not to 500 mm", "another side"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "polygon: [[-0.5 m, -0.4 m], [0.3 m, -0.4 m], [0.3 m, -0.1 m], [0.6 m, 0 m], [0.35 m, 0.1 m], [0.3 m, 0.4 m], [-0.5 m, 0.4 m]]", "left: ", "no edge of the outline faces the front at 50 mm", "another side"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "scale: 1 m, path: M 1200 0 A 1200 1200 0 0 1 -1200 0 A 1200 1200 0 0 1 1200 0 Z", "path: ", "the outline reaches to 1200 m", "within 1000 m"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "path: " + manyCorners(), "path: ", "the outline has 1003 corners", "no more than 1000"},
		{"rectangle: [1.2 m, 0.8 m], corner: 100 mm, centre: [0 m, 0 m]", "rectangle: [200 m, 100 m], corner: 40 m", "rectangle: ", "the outline has 1412 corners once its curves", "no more than 1000"},
		{"parts:\n", "parts:\n    - {name: ring, circle: 400 m, centre: [500 m, 0 m], height: 0..1 m}\n", "- ", "up to here the parts have 3144 corners once", "no more than 1000"},
		{"at: {from: front, left: 50 mm}", "at: {arc: 5 m}", "arc: ", "an arc length of 5 m is beyond the outline, which is 3.8281 m round", "-1.9141 m to 1.9141 m"},
		{"at: {from: front, left: 50 mm}", "at: {place: [0.2 m, 0.1 m]}", "at: ", `sensor "eye" is inside the body, 300 mm from its outline`, "recessed: true"},
		{"at: {from: front, left: 50 mm}, height: 200 mm", "at: {place: [-0.7 m, 0 m]}, height: 100 mm", "at: ", `sensor "eye" is inside part "flap" (there in state flap down)`, "recessed: true"},
		{"kind: sealed-serial, at: {from: left, forward: 300 mm}, heading: 10 deg, height: 200 mm", "kind: mine, at: {place: [-0.7 m, 0.5 m]}, height: 100 mm}\n  - {name: low, pair: mirror, kind: mine, at: {place: [-0.7 m, 0.1 m]}, height: 100 mm", "at: ", `sensor "low.left" is inside part "flap"`, ""},
		{"kind: mine, at: {from: front, left: 50 mm}", "count: 3, kind: mine, at: {from: front, spread: -2..2 m}", "spread: ", "beyond half the outline, which is 3.8281 m round", ""},
		{"kind: mine, at: {from: front, left: 50 mm}", "pair: mirror, kind: mine, at: {from: front}", "pair: ", "has itself for a mirror image", "off the middle line"},
		{"left: 50 mm}, height", "left: 0 mm}, heading: 10 deg outward, height", "heading: ", `"outward" says nothing here`, "plain angle"},
		{"heading: 10 deg,", "heading: 10 deg inward,", "heading: ", `"inward" says nothing here`, ""},
		{"heading: 10 deg,", "pair-axis: level,", "pair-axis: ", `kind "sealed-serial" is a single can`, "leave it out"},
		{"swept: {way: forward, reach: 1 m}", "polygon: [[0.1 m, 0 m], [0.2 m, 0 m], [0.2 m, 0.2 m]]", "polygon: ", `zone "ahead" lies wholly inside the body`, "beyond the outline"},
		{"swept: {way: forward, reach: 1 m}", "sector: {centre: [0 m, 0 m], radius: 0.1..0.3 m, bearing: 0..360 deg}", "sector: ", `lies wholly inside the body`, ""},
		{"swept: {way: forward, reach: 1 m}", "sector: {from: rear, left: 1 m, radius: 1..2 m, bearing: 0..20 deg}", "left: ", "the rear side reaches from", ""},
		{"style: slots", "style: as-read, delays: {way: alternating}", "way: ", "delays count from a table's times, and style as-read keeps no table", "style: slots or staggered"},
		{"jitter: 0.1 ms}", "jitter: 0.1 ms, delays: {way: dithered, span: 300 ms}}", "span: ", "delays of up to 300 ms do not fit a cycle of 250 ms", "longer cycle"},
		{"cycle: 250 ms", "cycle: 20 ms, delays: {way: dithered}", "way: ", "delays of up to 20 ms do not fit a cycle of 20 ms", ""},
		{"share: 90 %", "seen-by: 4, share: 90 %", "seen-by: ", "seen by 4 sensors, there are 3", ""},
		{"shape: post, diameter: 50 mm, height: 0..0.9 m", "shape: kerb, height: 20..90 mm", "height: ", "starts at 20 mm", "0..90 mm"},
	} {
		text := with(t, c.from, c.to)
		sc, list := Scene(parsed(t, text), builtin(t))
		if sc != nil || len(list) != 1 {
			t.Errorf("%s → %s: scene %v, messages %d: %v", c.from, c.to, sc != nil, len(list), list)
			continue
		}
		d := list[0]
		if !strings.Contains(d.Wrong, c.wrong) || !strings.Contains(d.Right, c.right) || d.File != "try.yaml" {
			t.Errorf("%s:\n got %v\nwant %s; %s", c.to, d, c.wrong, c.right)
		}
		if got := before(text, d.Line, d.Col); !strings.HasSuffix(got, c.at) {
			t.Errorf("%s: placed after %q, want after %q", d, got, c.at)
		}
	}
}

// manyCorners is the path of a saw of five hundred teeth, in millimetres, round the origin.
func manyCorners() string {
	var b strings.Builder
	b.WriteString("M 600 -400")
	for i := range 500 {
		fmt.Fprintf(&b, " L 600 %g L 590 %g", -400+1.6*float64(i)+0.1, -400+1.6*float64(i)+0.9)
	}
	return b.String() + " L -600 400 L -600 -400 Z"
}

// before returns what stands on a line before a column.
func before(text string, line, col int) string {
	l := strings.Split(text, "\n")[line-1]
	return string([]rune(l)[:col-1])
}

// All that is wrong comes in one go, in the order of the file.
func TestAllFaultsAtOnce(t *testing.T) {
	text := base
	for _, c := range [][2]string{
		{"[-0.9 m, 0.2 m], [-0.9 m, -0.2 m]", "[-0.9 m, -0.2 m], [-0.9 m, 0.2 m]"},
		{"like: open-pair-5v", "like: open-pair-5"},
		{"left: 50 mm", "left: 500 mm"},
		{"kind: sealed-serial", "kind: sealed"},
		{"target: leg", "target: lag"},
	} {
		text = strings.Replace(text, c[0], c[1], 1)
	}
	sc, list := Scene(parsed(t, text), builtin(t))
	var lines []string
	for _, d := range list {
		lines = append(lines, fmt.Sprint(d.Line))
	}
	if got := strings.Join(lines, " "); sc != nil || got != "9 12 14 15 19" {
		t.Errorf("lines %s:\n%v", got, list)
	}
}
