package acoustics

import "math"

// CrossGainDB is the level over to's threshold that from's sound would have after 1 m of path, both on
// axis, without absorption: high supply, margins included. A module's own gain is what it sends plus what
// it hears; a card gives only the sum, so each is taken to have half of it and the cross gain is the mean
// of the two gains (a stated estimate from reciprocity: exact for equal modules, and for a pair of
// modules right for the sum of both directions). It is taken over the listener's lowest threshold, since
// foreign sound may come at any time after its own trigger. Carriers apart are a matter of
// BandRejectionDB.
func CrossGainDB(from, to *Ear) float64 {
	return (from.m.GainAt(Strongest)+to.m.GainAt(Strongest))/2 - to.m.LowestRiseDB()
}

// Estimates for carriers apart: the quality of a resonant transducer, and the most that its own filter and
// the listener's electronics are trusted to reject. Common practice, no source.
const (
	transducerQuality = 20
	mostRejectionDB   = 40
)

// BandRejectionDB is how much less a module on carrier b hears one on carrier a, dB >= 0: nothing while
// their spreads overlap; otherwise the response of a single resonance (10 lg(1 + (2 Q Δf/f)²)) at the
// nearest that the two spreads come, at most mostRejectionDB.
func BandRejectionDB(a, b *Model) float64 {
	gap := math.Abs(a.Frequency()-b.Frequency()) - math.Abs(a.kind.SpreadHz.X) - math.Abs(b.kind.SpreadHz.X)
	if gap <= 0 {
		return 0
	}
	x := 2 * transducerQuality * gap / b.Frequency()
	return math.Min(mostRejectionDB, 10*math.Log10(1+x*x))
}
