// Package refresh finds the shortest cycle in which jobs fire as often as they ask.
//
// In: an instance.Problem in which a cycle of one firing each does not keep every job's EveryUs, and the best such cycle. Out: an
// instance.Timetable with its proof, an *instance.Cannot with the limits that no cycle keeps, or a *NotFound where the work
// was not enough for either.
//
//	scheduler ─► refresh ─► stagger ─► bound ─► instance
//
// With one conflict for all and windows of one length this is pinwheel scheduling (Holte, Mok, Rosier, Tulchinsky, Varvel 1989).
// A job with limit L fires n times in a cycle T, ⌈T/L⌉ <= n, and n < 2T/L if no firing can be left out.
//
//	sets     blocks that take turns need the time for all their firings: Σ n·turn <= T. As ⌈T/L⌉ only grows with T, a cycle that is
//	         too short rules out all up to what it needs; that is scanned upwards. A sum of turn/L above 1 rules out every cycle
//	walk     where sets do not say so, every state of those that take turns, or of slots: how long ago each fired. If from the
//	         best state on all ends, no cycle keeps the limits, however long
//	copies   cycles between two bounds, with so many firings each, are an ordinary staggered problem with a job for each firing:
//	         those of one job in their order, at most L and at least its own turn apart, across the cycle's end too. In slots, any
//	         two firings fall together or are one wholly after the other. Package stagger decides it
//	ranges   of cycles, each narrower than a 24th of its length, ascending, by turns, with more work each round. First with the
//	         fewest firings; when there is none, with up to as many as may be of use, of which one that falls on the one before counts as none
//
//	insert   a first timetable where the search finds none at once: firings are put into that of once each where limits are missed
//	         most, each where it makes all gaps best, then moved about
//
// What copies prove is that a range holds no cycle; the floor is the first range not ruled out. What is found narrows all ranges to
// shorter cycles, until floor and best meet.
//
// Up to 160 jobs and 160 firings a cycle are searched. Memory is that of two dozen ranges, each an engine of package stagger, and
// of up to 60 000 states of a walk.
package refresh
