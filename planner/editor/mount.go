package editor

import (
	"fmt"
	"math"
	"strconv"

	"echowright/geometry"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

// How exactly dragged things are written: whole millimetres and half degrees.
const (
	fineM   = 1e-3
	fineDeg = 0.5
)

// lengthText writes a length in whole millimetres, from a metre up in metres.
func lengthText(m float64) string { return lengthTo(m, fineM) }

// lengthTo writes a length in whole steps.
func lengthTo(m, step float64) string {
	mm := math.Round(math.Round(m/step)*step*1e6) / 1e3
	if math.Abs(mm) >= 1000 {
		return strconv.FormatFloat(mm/1000, 'f', -1, 64) + " m"
	}
	return strconv.FormatFloat(mm+0, 'f', -1, 64) + " mm"
}

// angleText writes an angle in half degrees.
func angleText(a s1.Angle) string { return angleTo(a, fineDeg) }

// angleTo writes an angle in whole steps.
func angleTo(a s1.Angle, step float64) string {
	deg := math.Round(math.Round(a.Degrees()/step)*step*1e6) / 1e6
	return strconv.FormatFloat(deg+0, 'f', -1, 64) + " deg"
}

// placeText writes a place on the outline as a layout does: from the middle of the side it is on, or else as a length
// along the outline.
func placeText(o *geometry.Outline, arc float64) string { return placeTo(o, arc, fineM, fineM) }

// placeTenths is placeText in tenths of a millimetre: figures that a person can read.
func placeTenths(o *geometry.Outline, arc float64) string { return placeTo(o, arc, fineM/10, fineM/10) }

// placeExactly is placeText as exactly as ways out are reckoned: on a rounded corner, where a little along a side is more along the
// outline, as a length along it.
func placeExactly(o *geometry.Outline, arc float64) string {
	return placeTo(o, arc, exactM, exactM/1000)
}

// placeTo is placeText in whole steps; from the middle of a side only where that is the same place but for some metres.
func placeTo(o *geometry.Outline, arc, step, but float64) string {
	arc = wrapArc(o, arc)
	p, _ := o.At(arc)
	for _, c := range []struct {
		side       geometry.Side
		name       string
		offset     float64
		plus, less string
	}{
		{geometry.Front, "front", p.Y, "left", "right"}, {geometry.Rear, "rear", p.Y, "left", "right"},
		{geometry.Left, "left", p.X, "forward", "back"}, {geometry.Right, "right", p.X, "forward", "back"},
	} {
		offset := math.Round(c.offset/step) * step
		s, err := o.OnSide(c.side, offset)
		switch {
		case err != nil || arcDistance(o, s, arc) > but:
		case offset > 0:
			return fmt.Sprintf("{from: %s, %s: %s}", c.name, c.plus, lengthTo(offset, step))
		case offset < 0:
			return fmt.Sprintf("{from: %s, %s: %s}", c.name, c.less, lengthTo(-offset, step))
		default:
			return fmt.Sprintf("{from: %s}", c.name)
		}
	}
	return fmt.Sprintf("{arc: %s}", lengthTo(arc, step))
}

// wrapArc brings an arc length to at most half a round left or right of where +x leaves the outline.
func wrapArc(o *geometry.Outline, arc float64) float64 { return math.Remainder(arc, o.Length()) }

// arcDistance is how far two places on the outline are apart, the shorter way round.
func arcDistance(o *geometry.Outline, a, b float64) float64 { return math.Abs(wrapArc(o, a-b)) }

// headingText writes a heading in the way the entry does now: num and word are what it says, and turned the turn away
// from square that this gave. It is counted from straight ahead where the entry does that, else from square.
func headingText(heading, normal s1.Angle, num float64, word string, turned s1.Angle) string {
	return headingTo(heading, normal, num, word, turned, fineDeg)
}

// fromForward is the word of a heading that does not turn with the outline.
const fromForward = "from forward"

// headingTo is headingText in whole steps, deg.
func headingTo(heading, normal s1.Angle, num float64, word string, turned s1.Angle, step float64) string {
	if word == fromForward {
		return angleTo(heading.Normalized(), step) + " " + word
	}
	turn := (heading - normal).Normalized()
	if word == "" || num == 0 {
		return angleTo(turn, step)
	}
	if (num > 0) != (turned > 0) { // on this side of the machine the word counts clockwise
		turn = -turn
	}
	return angleTo(turn, step) + " " + word
}

// pose is where a sensor stands on the outline and looks.
type pose struct {
	arc     float64 // NaN when it stands freely
	at      r2.Point
	heading s1.Angle
}

func poseOf(s scene.Sensor) pose { return pose{s.ArcM, s.At, s.Heading} }

// mirrored is the pose of the twin on the other side of the machine.
func (p pose) mirrored() pose {
	return pose{-p.arc, r2.Point{X: p.at.X, Y: -p.at.Y}, (-p.heading).Normalized()}
}
