package schedulertest

import "echowright/scheduler/instance"

// Mixed is the Cart of n sensors of which a quarter, those in front, ask to fire every front us, a third, at the corners, every
// corner us, and the others, at the sides, every side us.
func Mixed(n int, style instance.Style, seed uint64, front, corner, side int64) instance.Problem {
	p := Cart(n, seed)
	p.Name, p.Style = "mixed"+p.Name[len("cart"):]+"-"+style.String(), style
	for j := range p.Jobs {
		switch {
		case j < n/4:
			p.Jobs[j].EveryUs = front
		case j < n/4+n/3:
			p.Jobs[j].EveryUs = corner
		default:
			p.Jobs[j].EveryUs = side
		}
	}
	return p
}
