package resolve

import (
	"time"

	"echowright/planner/scene"
)

// weather fills the air and the surroundings.
func (r *resolver) weather() {
	r.sc.Name = r.doc.Value("name").Text()
	air := group(r.doc, "air")
	r.sc.Air = scene.Air{
		TemperatureC: span(r.value(air, "temperature")),
		HumidityPct:  span(r.value(air, "humidity")),
		PressurePa:   span(r.value(air, "pressure")),
	}
	around := group(r.doc, "around")
	walls := r.value(around, "walls")
	r.sc.Around = scene.Around{
		Ground:  scene.Ground(r.value(around, "ground").Text()),
		WallsM:  span(walls),
		Bounces: r.value(around, "bounces").Int(),
	}
	if walls.Text() == "none" {
		r.sc.Around.WallsM = scene.Span{Lo: 1, Hi: 0}
	}
}

// firing fills the controller, the wishes and the tolerance.
func (r *resolver) firing() {
	c := group(r.doc, "controller")
	r.sc.Controller = scene.Controller{
		ClockHz:    optional(c, "clock"),
		ClockError: r.value(c, "clock-error").Num(),
		Tick:       seconds(r.value(c, "tick").Num()),
		PinVolts:   optional(c, "pin-level"),
		Reading:    scene.Reading(r.value(c, "reading").Text()),
		AtOnce:     max(r.value(c, "at-once").Int(), 1),
		EdgeCost:   seconds(c.Value("edge-cost").Num()),
		Boot:       seconds(c.Value("boot").Num()),
		RailV:      optional(c, "rail"),
		RailLimitA: optional(c, "rail-limit"),
	}
	if from, ok := c.Get("powered-from"); ok {
		r.sc.Controller.PoweredFrom = from.Text()
	}
	w := group(r.doc, "wishes")
	r.sc.Wishes = scene.Wishes{
		Style:        r.value(w, "style").Text(),
		Cycle:        optionalTime(w, "cycle"),
		Guard:        seconds(r.value(w, "guard").Num()),
		Jitter:       seconds(r.value(w, "jitter").Num()),
		FirstWarning: optionalTime(w, "first-warning"),
		Delays:       r.delays(w),
	}
	t := group(r.doc, "tolerance")
	r.sc.Tolerance = scene.Tolerance{
		Heading:     angle(t.Value("heading").Num()),
		Tilt:        angle(t.Value("tilt").Num()),
		PlaceM:      t.Value("place").Num(),
		ThresholdDB: t.Value("threshold").Num(),
	}
	if r.sc.Controller.Tick <= 0 {
		r.sc.Controller.Tick = time.Microsecond
	}
}

// motion fills how the machine moves and stops, where the layout says it.
func (r *resolver) motion() {
	m, ok := r.doc.Get("motion")
	if !ok {
		return
	}
	way, _ := m.Get("way")
	confirm := r.value(m, "confirm")
	some, all := confirm.Span()
	r.sc.Motion = &scene.Motion{
		Way:      scene.Way(way.Text()),
		SpeedMS:  optional(m, "speed"),
		TurnRadS: span(r.value(m, "turn")),
		Reaction: seconds(r.value(m, "reaction").Num()),
		DecelMS2: r.value(m, "deceleration").Num(),
		MarginM:  r.value(m, "margin").Num(),
		Confirm:  int(some), Of: int(all),
	}
}
