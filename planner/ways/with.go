package ways

import (
	"fmt"
	"math"
	"slices"
	"time"

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
			if err := moved(s, sc.Body, c.MoveM); err != nil {
				return nil, err
			}
			if other := crowded(out.Sensors, i); other != "" {
				return nil, fmt.Errorf("%s would stand where %s does", c.Sensor, other)
			}
		}
		if c.LeftDeg != 0 {
			s.Heading = (s.Heading + s1.Angle(c.LeftDeg)*s1.Degree).Normalized()
		}
		s.Tilt += s1.Angle(c.UpDeg) * s1.Degree
		if c.ListenM > 0 {
			s.ListenM = c.ListenM
		}
		if c.EveryUs > 0 {
			every := make([]time.Duration, len(sc.Sensors))
			copy(every, out.Wishes.Refresh)
			every[i] = time.Duration(c.EveryUs) * time.Microsecond
			out.Wishes.Refresh = every
		}
	}
	return &out, nil
}

// leastApartM is how far apart two modules must be mounted, m. Common practice, no source.
const leastApartM = 0.03

// crowded is the name of a sensor that leaves another no room; "" for none.
func crowded(all []scene.Sensor, i int) string {
	for k, o := range all {
		if k != i && o.At.Sub(all[i].At).Norm() < leastApartM && math.Abs(o.HeightM-all[i].HeightM) < leastApartM {
			return o.Name
		}
	}
	return ""
}

// moved moves a sensor along the outline; it keeps its turn against the side it stands on. There is no place for it within a part.
func moved(s *scene.Sensor, body scene.Body, byM float64) error {
	if math.IsNaN(s.ArcM) {
		return fmt.Errorf("%s does not stand on the outline", s.Name)
	}
	o, err := geometry.NewOutline(body.Outline)
	if err != nil {
		return err
	}
	_, was := o.At(s.ArcM)
	arc := math.Remainder(s.ArcM+byM, o.Length())
	at, normal := o.At(arc)
	for _, p := range body.Parts {
		if p.HeightM.Contains(s.HeightM) && geometry.Contains(p.Outline, at) {
			return fmt.Errorf("%s would stand in %s", s.Name, p.Name)
		}
	}
	s.At, s.ArcM = at, arc
	s.Heading = (s.Heading + normal - was).Normalized()
	return nil
}
