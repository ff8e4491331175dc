// Package view makes the editor's three pictures out of a Plan: the drawing of the machine and its beams, one
// cycle of firing, and a sensor's beam over the ground. It says what lies under a point of them.
//
//	planner/editor ─► view ─► typeset ─► canvas
//	                       └► geometry, planner/export/draw, planner/plan
//
// In: a plan.Plan and plain choices. Out: layers of shapes in window points.
package view

import (
	"time"

	"echowright/planner/editor/canvas"
)

// Pose is where a sensor is and looks: m, rad counter-clockwise from forward.
type Pose struct {
	At      [2]float64
	Heading float64
}

// Live is what a hand is doing to the machine while the plan still tells of the time before.
type Live struct {
	// Moved are the sensors being dragged; their beams go with them.
	Moved map[string]Pose
	// Ghost is a sensor about to be mounted, and its twin.
	Ghost []Pose
	// KeptTo says beside the dragged sensor what it keeps to.
	KeptTo string
	// Stale is set while the firing plan is that of before the last change.
	Stale bool
	// Coming is set while there is no firing plan, and one is being reckoned.
	Coming bool
	// Box is a rectangle being stretched, in window points.
	Box canvas.Rect
	// Ring is a zone being drawn, m.
	Ring [][2]float64
}

// Looks is what the drawing shows.
type Looks struct {
	Target, State string // of the lobes and blind spots; empty: the first the plan has
	Lobes         bool
	Blind         bool
	Overlaps      bool
	Paths         bool
	Stops         bool
	Grid          bool
	Zones         bool
	Chosen        []string // sensors; the last chosen first
	Thing         Thing    // another thing chosen: a zone, a part, a blind spot
	Over          Thing    // what the pointer is over
	// Mark is the time within the cycle whose sound is shown, when Marked.
	Mark   time.Duration
	Marked bool
	// Measure is the line between two places, m, when Measured.
	Measure  [2][2]float64
	Measured bool
	// Clear are parts of the window that something else covers: no label goes there.
	Clear []canvas.Rect
	// Side is the scale the side view keeps while its grips are pulled; zero: that at which all of it fits.
	Side Handles
	// Probe is where a target was put to see who sees it, when Probed.
	Probe  [2]float64
	Probed bool
}

// ThingKind is what can lie under the pointer.
type ThingKind int

// The kinds of thing.
const (
	Nothing ThingKind = iota
	Sensor
	Heading // the grip that turns a sensor
	Blind
	Zone
	Edge // the body's outline
	Part
	Path
	Machine // the body itself
)

// Thing is something in the drawing.
type Thing struct {
	Kind  ThingKind
	Name  string  // of a sensor, zone or part; of a path "from to"
	Index int     // of a blind spot or a path, in the Plan
	ArcM  float64 // of the edge: the length along the outline
}
