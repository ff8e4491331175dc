package crosstalk

import (
	"context"

	"echowright/planner/acoustics"
	"echowright/planner/recall"
	"echowright/planner/scene"

	"github.com/golang/geo/s1"
)

// Memory keeps what pairs of sensors hear of each other for the next scenes, by the value of all that it follows from. The
// zero value is empty; it serves one call at a time.
type Memory struct {
	// Zero is where directions are counted from; nil: the heading of the first sensor of each scene. With it, a turn of that sensor is remembered
	// like that of any other.
	Zero *s1.Angle

	pairs recall.Book[[2][]heard] // what the second hears of the first, and the first of the second
}

// mostUnfinished is how many times as many pairs as a scene has are kept of calls that were ended early before older ones are
// forgotten.
const mostUnfinished = 4

// Arcs is the function of that name, quicker where the last two scenes had the same pairs. ears must follow from the scene
// alone. Pairs that a call ended early has done are kept.
func (m *Memory) Arcs(ctx context.Context, sc *scene.Scene, ears []*acoustics.Ear, slow, fast float64) ([]Arc, error) {
	if len(sc.Body.Outline) == 0 {
		return nil, ctx.Err() // half a machine: there is nothing yet for sound to go round or for walls to keep off
	}
	a := arrayOf(sc, ears, slow, fast)
	a.recalled(m)
	arcs, err := a.arcs(ctx)
	if err != nil && m.pairs.Fresh() > mostUnfinished*len(ears)*len(ears) {
		m.pairs.Turn()
	}
	return arcs, err
}

// Turn says that a scene is done: what neither it nor the one before used is forgotten.
func (m *Memory) Turn() { m.pairs.Turn() }

// remembered says where an array looks for pairs, and by which keys.
type remembered struct {
	memory  *Memory
	around  recall.Key   // what all pairs share
	sensors []recall.Key // of each, with its module
}

// recalled lets an array ask a memory.
func (a *array) recalled(m *Memory) {
	r := &remembered{memory: m, sensors: make([]recall.Key, len(a.voices))}
	a.remembered = r
	sc := a.sc
	kinds := make([]recall.Key, len(sc.Kinds))
	for i, k := range sc.Kinds {
		kinds[i] = recall.Of(k, sc.Air)
	}
	for i, s := range sc.Sensors {
		r.sensors[i] = recall.Of(kinds[s.Kind], s.At, s.HeightM, s.Heading, s.Tilt)
	}
	if len(sc.Sensors) > 0 {
		zones := make([]recall.Key, len(sc.Zones))
		for i, z := range sc.Zones {
			zones[i] = recall.Of(z.Rings, z.Target)
		}
		r.around = recall.Of(sc.Body, sc.Around, sc.Targets, zones, a.zero())
	}
}

// ask fills in what j hears of i and i of j, from memory where that has it.
func (a *array) ask(i, j int, found [][]heard, h *hunt) {
	if a.remembered == nil {
		a.pair(i, j, found, h)
		return
	}
	n, r := len(a.voices), a.remembered
	key := recall.Of(r.around, r.sensors[i], r.sensors[j], i == j)
	if both, ok := r.memory.pairs.Find(key); ok {
		found[i*n+j], found[j*n+i] = both[0], both[1]
		return
	}
	a.pair(i, j, found, h)
	if h.ctx.Err() == nil { // else it may have been cut short
		r.memory.pairs.File(key, [2][]heard{found[i*n+j], found[j*n+i]})
	}
}
