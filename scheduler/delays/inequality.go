package delays

// Inequality is one of those that delays must keep, with both its sides.
type Inequality struct {
	Name            string
	LeftUs, RightUs int64
	More            bool   // the left must be more than the right; else no more than it
	Jobs            [2]int // of whom it is closest to fail; -1 where it is of all, or of one alone
}

// The inequalities.
const (
	TrueEcho     = "true echo passes"
	SameCycle    = "sound of this cycle shifts"
	LastCycle    = "sound of the last cycle shifts"
	OwnLastCycle = "own sound of the last cycle shifts"
	TwoCyclesOld = "own sound dies within two cycles"
	WindowFits   = "window fits the cycle"
)

// Met reports whether it is kept.
func (i Inequality) Met() bool {
	if i.More {
		return i.LeftUs > i.RightUs
	}
	return i.LeftUs <= i.RightUs
}

// Living is how long things last that a job does, from its firing, without delay.
type Living struct {
	ListensUs []int64 // until each job's window closes
	AudibleUs []int64 // until each job's own sound can no longer be taken by itself; 0 where it never is
}

// Inequalities puts the numbers into every inequality, of those alike in form the one closest to fail. Those that no job is
// concerned by are left out.
func (a Alternating) Inequalities(t Terms, c Classes, l Living) []Inequality {
	most := a.MostUs()
	list := []Inequality{{TrueEcho, t.ChangeUs(most), a.ThresholdUs, false, [2]int{-1, -1}}}
	shift := a.ThresholdUs + t.ChangeUs(most)
	of := func(j int) int64 { return a.DelaysUs[c.Of[j]] }
	closest := func(name string, pairs [][2]int, moves func(x, y int64) int64) {
		var worst *Inequality
		for _, p := range pairs {
			i := Inequality{name, moves(of(p[0]), of(p[1])), shift, true, p}
			if worst == nil || i.LeftUs < worst.LeftUs {
				worst = &i
			}
		}
		if worst != nil {
			list = append(list, *worst)
		}
	}
	closest(SameCycle, c.Pairs, func(x, y int64) int64 { return max(x-y, y-x) })
	closest(LastCycle, c.Pairs, func(x, y int64) int64 { return x + y })
	var own [][2]int
	dies, fits := Inequality{TwoCyclesOld, 2 * t.CycleUs, 0, true, [2]int{-1, -1}}, Inequality{WindowFits, 0, t.CycleUs, false, [2]int{-1, -1}}
	for j := range c.Of {
		own = append(own, [2]int{j, j})
		if us := l.AudibleUs[j]; us > 0 && us+2*t.FiringUs > dies.RightUs {
			dies.RightUs, dies.Jobs[0] = us+2*t.FiringUs, j
		}
		if us := of(j) + l.ListensUs[j]; us > fits.LeftUs {
			fits.LeftUs, fits.Jobs[0] = us, j
		}
	}
	closest(OwnLastCycle, own, func(x, y int64) int64 { return x + y })
	if dies.Jobs[0] >= 0 {
		list = append(list, dies)
	}
	return append(list, fits)
}
