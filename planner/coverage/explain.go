package coverage

import (
	"cmp"
	"slices"

	"echowright/geometry/region"
	"echowright/planner/recall"
)

// patch is a connected part of a blind region on its way to being explained. Patches have nothing to do with each other.
type patch struct {
	verdict  *verdict
	region   region.Set
	near     []int // sensors that might see some of it if one thing or another were different
	key      recall.Key
	remedies []remedy
	pieces   []piece
	rest     region.Set // where no one thing different would do
	told     told
	known    bool
}

// told is what a patch comes to. The sensor of a spot counts in patch.near, so that it holds whatever numbers sensors
// have.
type told struct {
	blindness
	area float64 // m²
}

// explain finds the causes of every blind region, patch by patch and in two rounds: what one thing different would mend,
// then for what is left the nominal beams.
func (st *study) explain() error {
	patches, err := st.listPatches()
	if err != nil {
		return err
	}
	var todo []*patch
	for _, p := range patches {
		if !p.known {
			todo = append(todo, p)
		}
	}
	if err := st.mendPatches(todo, func(p *patch) region.Set { return p.region }, (*hearing).remedies); err != nil {
		return err
	}
	if err := st.mendPatches(todo, func(p *patch) region.Set { return p.rest }, (*hearing).nominalRemedies); err != nil {
		return err
	}
	if err := st.tellAll(todo); err != nil {
		return err
	}
	of := map[*verdict][]*patch{}
	for _, p := range patches {
		of[p.verdict] = append(of[p.verdict], p)
	}
	return st.each(len(st.verdicts), func(i int) { st.verdicts[i].gather(of[st.verdicts[i]]) })
}

// listPatches parts the blind regions of all verdicts, in their order, and recalls what is known of each part.
func (st *study) listPatches() (all []*patch, err error) {
	for _, v := range st.verdicts {
		for _, r := range v.figures.blind.Pieces() {
			all = append(all, &patch{verdict: v, region: r, rest: r})
		}
	}
	outline := recall.Of(st.sc.Body.Outline)
	return all, st.each(len(all), func(i int) {
		p := all[i]
		box := p.region.Bounds()
		var keys []recall.Key
		for k, h := range p.verdict.hearings {
			if _, within := h.within(box); within || h.inFan(box) {
				p.near, keys = append(p.near, k), append(keys, h.key)
			}
		}
		if !slices.Contains(keys, recall.Key{}) {
			p.key = recall.Of(p.region.Rings(), p.verdict.errM, outline, keys)
		}
		p.told, p.known = st.memory.patches.Find(p.key)
	})
}

// mendPatches finds what mends a region of each patch, sensor by sensor, and divides the region by it.
func (st *study) mendPatches(patches []*patch, of func(*patch) region.Set, find func(h *hearing, m *Memory, blind region.Set) []remedy) error {
	type part struct{ patch, sensor int }
	var parts []part
	for i, p := range patches {
		if !of(p).IsEmpty() {
			for _, k := range p.near {
				parts = append(parts, part{i, k})
			}
		}
	}
	found := make([][]remedy, len(parts))
	err := st.each(len(parts), func(i int) {
		p := patches[parts[i].patch]
		found[i] = find(p.verdict.hearings[parts[i].sensor], st.memory, of(p))
	})
	if err != nil {
		return err
	}
	byPatch := make([][]remedy, len(patches))
	for i, rs := range found {
		byPatch[parts[i].patch] = append(byPatch[parts[i].patch], rs...)
	}
	return st.each(len(patches), func(i int) {
		p := patches[i]
		pieces, rest := split(of(p), byPatch[i])
		p.remedies, p.pieces, p.rest = append(p.remedies, byPatch[i]...), append(p.pieces, pieces...), rest
	})
}

// tellAll makes spots of divided patches and keeps them.
func (st *study) tellAll(patches []*patch) error {
	err := st.each(len(patches), func(i int) {
		p := patches[i]
		for _, r := range p.rest.Pieces() {
			p.pieces = append(p.pieces, piece{cause: OutsideBeams, sensor: -1, region: r})
		}
		p.told = told{st.memory.divide(p.region, p.pieces, p.verdict.errM), p.region.Area()}
	})
	if err != nil {
		return err
	}
	body := st.sc.Body.Outline
	var parts []func()
	for _, p := range patches {
		for i := range p.told.spots {
			s := &p.told.spots[i]
			parts = append(parts, func() {
				s.hides = st.memory.hidesIn(s.region, []region.Set{p.region}, p.told.widest)
			}, func() {
				s.own = st.memory.disc(s.region)
				p.settle(s)
				s.sensor = slices.Index(p.near, s.sensor)
			}, func() {
				s.nearestM = st.memory.strips.Of(recall.Of(s.region.Rings(), body), func() float64 { return apart(s.region, body) })
			})
		}
	}
	if err := st.each(len(parts), func(i int) { parts[i]() }); err != nil {
		return err
	}
	for _, p := range patches {
		sortSpots(p.told.spots)
		st.memory.patches.File(p.key, p.told)
	}
	return nil
}

// gather puts together what the patches of a verdict come to.
func (v *verdict) gather(patches []*patch) {
	bySize := slices.Clone(patches) // of equally wide discs, that in the largest patch
	slices.SortStableFunc(bySize, func(a, b *patch) int { return cmp.Compare(b.told.area, a.told.area) })
	for _, p := range bySize {
		if p.told.widest.radius > v.blind.widest.radius {
			v.blind.widest = p.told.widest
		}
	}
	for _, p := range patches {
		v.blind.slivers += p.told.slivers
		for _, s := range p.told.spots {
			if s.sensor >= 0 {
				s.sensor = p.near[s.sensor]
			} else {
				s.sensor = nearestBeam(v.hearings, s.region)
			}
			v.blind.spots = append(v.blind.spots, s)
		}
	}
	sortSpots(v.blind.spots)
	asked, left := v.zone.Rings, v.region.Rings()
	v.blind.limited = heldByZone(asked, left, v.blind.widest)
	for i := range v.blind.spots {
		s := &v.blind.spots[i]
		s.limited = heldByZone(asked, left, s.hides)
	}
}
