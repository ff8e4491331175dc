package acoustics

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/s1"

	"echowright/planner/scene"
)

// beamTable is a pattern measured on the bench: two-way level against the axis by direction.
//
// Each point (bearing, elevation → farthest range on a named target) says that in that direction the
// target is just heard at that range; the level lost against the axis is what the target's own spreading
// and absorption account for between the two. Rows of one elevation are joined linearly in bearing, rows
// are joined linearly in elevation. A table with one row has no word on elevation: there the piston fitted
// to the stated upright width takes over. A table of bearings (or elevations) of one sign only is mirrored.
// Outside what was measured nothing is certain.
type beamTable struct {
	rows         []tableRow // by elevation
	foldB, foldE bool
	m            *Model
	rings        []float64 // highest one-way level at or beyond each whole degree from the axis
}

type tableRow struct {
	elevation float64
	bearing   []float64
	level     []float64 // two-way, dB
}

// unheard is the level of a direction in which the bench heard nothing (range 0).
const unheard = -120.0

func (m *Model) fitTable() error {
	b := m.kind.Beam
	shape, a, err := shapeOf(b.TableAgainst)
	if err != nil {
		return err
	}
	t := &beamTable{m: m}
	alpha := Absorption(m.kind.CarrierHz.X, Reference)
	points := slices.Clone(b.Table)
	t.foldB = oneSided(points, func(p *scene.BeamPoint) *s1.Angle { return &p.Bearing })
	t.foldE = oneSided(points, func(p *scene.BeamPoint) *s1.Angle { return &p.Elevation })
	slices.SortFunc(points, func(p, q scene.BeamPoint) int {
		if p.Elevation != q.Elevation {
			return cmpFloat(float64(p.Elevation), float64(q.Elevation))
		}
		return cmpFloat(float64(p.Bearing), float64(q.Bearing))
	})
	for _, p := range points {
		level := unheard
		if p.RangeM > 0 {
			level = spreading(shape, a, p.RangeM, p.RangeM) + 2*alpha*p.RangeM + b.TableAgainst.LossDB.X +
				m.rise(p.RangeM, Certain)
		}
		if err := t.add(p, level); err != nil {
			return err
		}
	}
	// The table beats the model: its own axis sets the gain.
	axis := t.twoWay(0, 0)
	if axis <= unheard {
		return errors.New("the beam table must measure the axis (bearing 0, elevation 0)")
	}
	m.gain = scene.Span{Lo: axis, Hi: axis}
	for i := range t.rows {
		for j, level := range t.rows[i].level {
			if level > unheard {
				t.rows[i].level[j] = level - axis
			}
		}
	}
	t.makeRings()
	m.table = t
	return nil
}

// oneSided reports whether the points lie on one side of the axis only, and if on the negative one turns
// them over to the other, where the fold looks for them.
func oneSided(points []scene.BeamPoint, of func(*scene.BeamPoint) *s1.Angle) bool {
	least, most := s1.Angle(0), s1.Angle(0)
	for i := range points {
		least, most = min(least, *of(&points[i])), max(most, *of(&points[i]))
	}
	if least < 0 && most <= 0 {
		for i := range points {
			*of(&points[i]) *= -1
		}
		return true
	}
	return least == 0
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func (t *beamTable) add(p scene.BeamPoint, level float64) error {
	e, b := p.Elevation.Radians(), p.Bearing.Radians()
	if n := len(t.rows); n == 0 || t.rows[n-1].elevation != e {
		t.rows = append(t.rows, tableRow{elevation: e})
	}
	r := &t.rows[len(t.rows)-1]
	if n := len(r.bearing); n > 0 && r.bearing[n-1] == b {
		return fmt.Errorf("the beam table holds bearing %.3g deg, elevation %.3g deg twice", p.Bearing.Degrees(), p.Elevation.Degrees())
	}
	r.bearing, r.level = append(r.bearing, b), append(r.level, level)
	return nil
}

// twoWay is the level in a direction, unheard outside what was measured.
func (t *beamTable) twoWay(bearing, elevation float64) float64 {
	if t.foldB {
		bearing = math.Abs(bearing)
	}
	if len(t.rows) == 1 {
		off := elevation - t.rows[0].elevation
		return t.rows[0].at(bearing) + 2*decibels(t.m.certainOneWay(t.m.kSlow*t.m.up*math.Abs(math.Sin(off))))
	}
	if t.foldE {
		elevation = math.Abs(elevation)
	}
	for i := 1; i < len(t.rows); i++ {
		lo, hi := t.rows[i-1], t.rows[i]
		if elevation < lo.elevation || elevation > hi.elevation {
			continue
		}
		u := (elevation - lo.elevation) / (hi.elevation - lo.elevation)
		return mix(lo.at(bearing), hi.at(bearing), u)
	}
	return unheard
}

func (r tableRow) at(bearing float64) float64 {
	if len(r.bearing) == 1 && bearing == r.bearing[0] {
		return r.level[0]
	}
	for i := 1; i < len(r.bearing); i++ {
		if bearing >= r.bearing[i-1] && bearing <= r.bearing[i] {
			return mix(r.level[i-1], r.level[i], (bearing-r.bearing[i-1])/(r.bearing[i]-r.bearing[i-1]))
		}
	}
	return unheard
}

// mix joins two levels; beside a direction that was not heard nothing is certain but the point itself.
func mix(a, b, u float64) float64 {
	switch {
	case u == 0:
		return a
	case u == 1:
		return b
	case a <= unheard || b <= unheard:
		return unheard
	}
	return a + u*(b-a)
}

func (t *beamTable) oneWay(l, u, n float64, end End, floor float64) float64 {
	v := t.twoWay(math.Atan2(l, n), math.Asin(math.Max(-1, math.Min(1, u)))) / 2
	if end == Certain {
		if v <= unheard/2 {
			return math.Inf(-1)
		}
		return v
	}
	return math.Max(math.Max(v, floor), t.envelope(math.Acos(math.Max(-1, math.Min(1, n)))))
}

// envelope is the highest one-way level at or beyond an angle from the axis.
func (t *beamTable) envelope(angle float64) float64 {
	i := int(math.Max(0, angle*180/math.Pi-1e-6)) // a hair less, so that rounding decides nothing at whole degrees
	if i >= len(t.rings) {
		return unheard / 2
	}
	return t.rings[i]
}

// makeRings samples the table on circles round the axis, a degree apart and five degrees round.
func (t *beamTable) makeRings() {
	t.rings = make([]float64, 91)
	high := unheard / 2
	for i := len(t.rings) - 1; i >= 0; i-- {
		sa, ca := math.Sincos(float64(i) * math.Pi / 180)
		for j := range 72 {
			sr, cr := math.Sincos(float64(j) * math.Pi / 36)
			v := t.twoWay(math.Atan2(sa*cr, ca), math.Asin(sa*sr)) / 2
			high = math.Max(high, v)
		}
		t.rings[i] = high
	}
}
