package coverage

import (
	"math"

	"echowright/geometry"
	"echowright/geometry/region"
)

// rounding is the share of a zone's area below which an area is taken for rounding of the
// arrangement's grid: the grid moves a vertex by less than 2^-34 m, so a zone of 1 m² bounded by
// 1,000 edges of 1 m in all changes by less than 1e-10.
const rounding = 1e-10

// demand is a region in which each place must be seen by at least need sensors.
type demand struct {
	region region.Set
	need   int
}

// survey is what a set of lobes sees of a demand; areas in m², lengths in m.
type survey struct {
	area, covered float64
	fold          []float64  // area seen by exactly k lobes
	blind         region.Set // seen by fewer than need
	edge          float64    // length of the border between covered and blind
}

// surveys is what becomes of several zones under the same lobes.
type surveys struct {
	zones []survey
	both  [][]float64 // of each pair of lobes, and of them and the zones after them: the area both hold, m²
}

// surveyZones overlays zones and lobes, one lobe set a sensor, in one arrangement.
func surveyZones(zones []demand, lobes []region.Set) (found surveys) {
	layers := make([]region.Set, 0, len(zones)+len(lobes))
	of := make([]int, len(lobes), len(lobes)+len(zones))
	for _, z := range zones {
		layers = append(layers, z.region)
	}
	for i, l := range lobes {
		of[i] = len(layers)
		layers = append(layers, l)
	}
	o := region.NewOverlay(layers...)
	for i, z := range zones {
		found.zones = append(found.zones, surveyOne(o, i, z, of))
	}
	for i := range zones {
		of = append(of, i)
	}
	found.both = o.PairAreas(of)
	return found
}

func surveyOne(o *region.Overlay, zone int, z demand, lobes []int) survey {
	s := survey{fold: o.FoldAreas(zone, lobes)}
	for k, a := range s.fold {
		s.area += a
		if k >= z.need {
			s.covered += a
		}
	}
	seers := region.MaskOf(lobes...)
	s.blind = o.Extract(func(l region.Label) bool { return l.Has(zone) && l.Count(seers) < z.need })
	if s.blind.IsEmpty() || s.area-s.covered <= rounding*s.area {
		s.covered, s.blind = s.area, region.Set{}
	}
	s.fold = trimFold(s.fold, z.need)
	if !s.blind.IsEmpty() {
		seen := o.Extract(func(l region.Label) bool { return l.Has(zone) && l.Count(seers) >= z.need })
		s.edge = borderOf(seen, s.blind, z.region)
	}
	return s
}

// borderOf is the length of the border between the two regions a whole is divided into: the boundary
// of either is that border and a share of the boundary of the whole, and the two shares make all of it.
func borderOf(a, b, whole region.Set) float64 {
	return math.Max(0, (perimeter(a)+perimeter(b)-perimeter(whole))/2)
}

// trimFold drops the empty end of a list of k-fold areas, but keeps the entries up to need.
func trimFold(fold []float64, need int) []float64 {
	n := len(fold)
	for n > need+1 && fold[n-1] == 0 {
		n--
	}
	return fold[:n]
}

// perimeter is the length of all edges of a region, m.
func perimeter(s region.Set) float64 {
	sum := 0.0
	for _, r := range s.Rings() {
		sum += geometry.Perimeter(r)
	}
	return sum
}
