package ways

import (
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/s1"

	"echowright/geometry"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// With is the scene with changes made; it shares with the old one what did not change.
func With(sc *scene.Scene, changes ...plan.Change) (*scene.Scene, error) {
	out := *sc
	out.Sensors = slices.Clone(sc.Sensors)
	for _, c := range changes {
		if c.Style != "" {
			out.Wishes.Style = c.Style
		}
		if c.Reading != "" {
			out.Controller.Reading, out.Controller.AtOnce = scene.Reading(c.Reading), c.AtOnce
		}
		if c.Sensor == "" {
			continue
		}
		i := slices.IndexFunc(out.Sensors, func(s scene.Sensor) bool { return s.Name == c.Sensor })
		if i < 0 {
			return nil, fmt.Errorf("there is no sensor %s", c.Sensor)
		}
		s := &out.Sensors[i]
		if c.MoveM != 0 {
			if err := moved(s, sc.Body.Outline, c.MoveM); err != nil {
				return nil, err
			}
		}
		if c.LeftDeg != 0 {
			s.Heading = (s.Heading + s1.Angle(c.LeftDeg)*s1.Degree).Normalized()
		}
		s.Tilt += s1.Angle(c.UpDeg) * s1.Degree
		if c.ListenM > 0 {
			s.ListenM = c.ListenM
		}
	}
	return &out, nil
}

// moved moves a sensor along the outline; it keeps its turn against the side it stands on.
func moved(s *scene.Sensor, outline geometry.Ring, byM float64) error {
	if math.IsNaN(s.ArcM) {
		return fmt.Errorf("%s does not stand on the outline", s.Name)
	}
	o, err := geometry.NewOutline(outline)
	if err != nil {
		return err
	}
	_, was := o.At(s.ArcM)
	arc := math.Remainder(s.ArcM+byM, o.Length())
	at, normal := o.At(arc)
	s.At, s.ArcM = at, arc
	s.Heading = (s.Heading + normal - was).Normalized()
	return nil
}
