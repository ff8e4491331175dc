// Package slots groups jobs so that the cycle is as short as it can be, and proves it.
//
// In: a plain bound.Laid problem. Out: an instance.Timetable in the slots style.
//
//	scheduler ─► slots ─► bound ─► instance
//
// A slot is a group of jobs fired at the same instant. Its jobs do not conflict (bound.Laid says
// when two do) and are at most AtOnce. The next slot begins when the longest of their turns is over
// (bound.Turn): when every window is closed, every line free and the guard past, and when what is left
// in the air can be taken by no later listener, whoever comes next. Slots follow one another round
// the cycle, the first after the last. The cycle is the sum of the slots, or the longest rest of a
// job if that is longer. So the slots' order does not matter, and the least cycle is max-colouring of
// the conflict graph with groups of bounded size. Where a turn depends on who comes next, package
// order takes over, and this one gives it a start and a bound.
//
// How it is solved, in order; "cost" is the sum of the slots, ub the best so far:
//
//	first     first fit, the longest turn first
//	parts     jobs that conflict with all jobs of another part never share a slot with them:
//	          parts are solved one by one and their costs added
//	saturate  a short exact search (DSATUR, Brélaz 1979): the most constrained job into each slot in
//	          turn. It looks for groupings a little above the floor, then for dearer ones, and ends
//	          most problems at once
//	greedy    the groups are dealt out again in other orders, which in order of length never costs
//	          more (iterated greedy, Culberson 1992); then saturate again
//	reduce    a job that fits into some slot of every best answer is put aside
//	squeeze   local search shortens a slot or takes one away, again and again
//	search    saturate takes turns with another exact search, each round with four times the nodes:
//	          that one picks whole slots around the longest job left and remembers what it has seen
//	          (pick). Either one alone ends with a proof.
//
// Both prune with the levels of package bound: sorted, the j-th longest slot is at least L(j).
// Everything is walked in sorted order; the same problem gives the same answer.
package slots
