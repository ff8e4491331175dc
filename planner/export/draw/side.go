package draw

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"echowright/planner/plan"
)

// SideGroup is the sensors whose view from the side is the same.
type SideGroup struct {
	View  plan.SideView // of the first
	Names []string
}

// SideGroups puts the side views of a plan together where they look the same: one target, the beam
// alike to a centimetre, and the same parts standing in it.
func SideGroups(p *plan.Plan) (out []SideGroup) {
	at := map[string]int{}
	for _, v := range p.SideViews {
		s := sensorOf(p, v)
		key := strings.Join([]string{v.Target, s.Kind, outline(v.Polygon), fmt.Sprint(StandingParts(p, s))}, "|")
		i, known := at[key]
		if !known {
			i = len(out)
			at[key] = i
			out = append(out, SideGroup{View: v})
		}
		out[i].Names = append(out[i].Names, v.Sensor)
	}
	return out
}

// outline is the box of a beam to a centimetre, which tells beams of one kind apart.
func outline(p plan.Polygon) string {
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, r := range p {
		a, b := ringBox(r)
		for k := range 2 {
			lo[k], hi[k] = math.Min(lo[k], a[k]), math.Max(hi[k], b[k])
		}
	}
	return fmt.Sprintf("%.2f %.2f %.2f %.2f", lo[0], lo[1], hi[0], hi[1])
}

func sensorOf(p *plan.Plan, v plan.SideView) plan.Sensor {
	for _, s := range p.Sensors {
		if s.Name == v.Sensor {
			return s
		}
	}
	return plan.Sensor{}
}

// Standing is a stretch along a sensor's heading in which a part stands.
type Standing struct {
	Part     int // of the body, in the Plan
	From, To int // mm from the sensor
}

// StandingParts finds where the upright plane through a sensor's heading cuts the parts ahead of it.
func StandingParts(p *plan.Plan, s plan.Sensor) (out []Standing) {
	sin, cos := math.Sincos(s.Heading)
	for i, part := range p.Body.Parts {
		var at []float64
		for k, b := range part.Outline {
			a := part.Outline[(k+len(part.Outline)-1)%len(part.Outline)]
			// Along and to the left of the heading.
			ua, va := (a[0]-s.X)*cos+(a[1]-s.Y)*sin, (a[1]-s.Y)*cos-(a[0]-s.X)*sin
			ub, vb := (b[0]-s.X)*cos+(b[1]-s.Y)*sin, (b[1]-s.Y)*cos-(b[0]-s.X)*sin
			if (va > 0) != (vb > 0) {
				at = append(at, ua+(ub-ua)*va/(va-vb))
			}
		}
		slices.Sort(at)
		for k := 0; k+1 < len(at); k += 2 {
			if at[k+1] > 0 {
				out = append(out, Standing{i, int(math.Round(1000 * math.Max(0, at[k]))), int(math.Round(1000 * at[k+1]))})
			}
		}
	}
	return out
}

// Side draws a sensor's beam over the ground along its heading, with the parts of the machine that stand
// in that direction and the target at its heights. A part that is only there in some states is dashed.
func Side(p *plan.Plan, v plan.SideView, width, height float64) *Picture {
	pic := &Picture{Title: v.Sensor + " from the side"}
	s := sensorOf(p, v)
	parts := StandingParts(p, s)
	far, top := 0.5, math.Max(s.Z, p.Body.HeightM[1])
	for _, r := range v.Polygon {
		for _, q := range r {
			far, top = math.Max(far, q[0]), math.Max(top, q[1])
		}
	}
	for _, st := range parts {
		far, top = math.Max(far, float64(st.To)/1000), math.Max(top, p.Body.Parts[st.Part].HeightM[1])
	}
	back := far * 0.12
	pic.fit(width, height, 22, Point{-back, 0}, Point{far, 0}, Point{far, top})
	pic.grid()
	pic.add("ground", line(Style{Stroke: Text, Width: 2}, Point{pic.Min[0], 0}, Point{pic.Max[0], 0}))
	pic.add("body", Shape{Rings: [][]Point{rect(-back, p.Body.HeightM[0], 0, p.Body.HeightM[1])}, Style: Style{Fill: Body, Stroke: Text, Width: 1.5}, Title: "body"})
	pic.add("beam", Shape{Rings: rings(v.Polygon), Style: Style{Fill: Beam, Opacity: 0.2, Stroke: Beam, Width: 1}, Title: v.Sensor + " sees " + v.Target})
	for _, t := range p.Targets {
		if t.Name == v.Target {
			pic.standing(t, far*0.55)
		}
	}
	names := pic.parts(p, parts)
	pic.add("sensor", Shape{Rings: [][]Point{{{0, s.Z - 4/pic.PxY}, {6 / pic.PxX, s.Z}, {0, s.Z + 4/pic.PxY}}}, Style: Style{Fill: Text}, Title: s.Name})
	pic.scaleBar(pic.Max[1] - 22/pic.PxY)
	pic.names(names)
	return pic
}

// parts draws what stands in a sensor's direction, at least two pixels thick, and returns their names.
func (pic *Picture) parts(p *plan.Plan, parts []Standing) (ns []name) {
	for _, st := range parts {
		part := p.Body.Parts[st.Part]
		x0, x1 := float64(st.From)/1000, math.Max(float64(st.To)/1000, float64(st.From)/1000+2/pic.PxX)
		z0, z1 := part.HeightM[0], math.Max(part.HeightM[1], part.HeightM[0]+2/pic.PxY)
		title := part.Name
		if len(part.OnlyIn) > 0 {
			title += " (" + strings.Join(part.OnlyIn, ", ") + ")"
		}
		ring := rect(x0, z0, x1, z1)
		pic.add("parts", Shape{Rings: [][]Point{ring}, Style: Style{Fill: Body, Stroke: Text, Width: 1.2, Dashed: len(part.OnlyIn) > 0}, Title: title})
		ns = append(ns, pic.partName(title, Text, ring))
	}
	return ns
}

// standing draws a target at its heights, at least two pixels wide.
func (pic *Picture) standing(t plan.Target, x float64) {
	w := math.Max(t.RadiusM, 2/pic.PxX)
	shape := Shape{Rings: [][]Point{rect(x-w, t.HeightM[0], x+w, math.Min(t.HeightM[1], pic.Max[1]))}, Style: Style{Fill: Plate, Stroke: Text, Width: 1}, Title: t.Name}
	if t.Shape == "sphere" {
		shape.Rings = [][]Point{circle(x, (t.HeightM[0]+t.HeightM[1])/2, t.RadiusM)}
	}
	pic.add("targets", shape)
}

func circle(x, y, r float64) (pts []Point) {
	for k := range 48 {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / 48)
		pts = append(pts, Point{x + r*cos, y + r*sin})
	}
	return pts
}
