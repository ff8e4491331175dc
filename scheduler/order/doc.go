// Package order finds the shortest cycle of slots where the order of the groups matters: what one
// group leaves in the air may die while others listen that do not mind it.
//
// In: a bound.Laid problem. Out: an instance.Timetable with its proof.
//
//	scheduler ─► order ─► slots ─► bound ─► instance
//
// Two blocks share a group, or fire a distance apart that is no less than what either keeps the
// others waiting and at which no sound of one meets a window of the other, in this cycle or a later
// one. With the period T and the order of the groups given, that is a system of differences
//
//	t(b) − t(a) >= us − k·T
//
// which has an answer if no ring of them adds up to more than its periods (Serafini and Ukovich, "A
// mathematical model for periodic scheduling problems", SIAM J. Discrete Math. 2, 1989). A sound may
// also come before the group that minds it listens, and be gone after, only after it: then both are tried.
//
// How it is solved; T* is the best cycle so far, F what no cycle is shorter than:
//
//	start    the shortest grouping in which every group waits until nobody could be harmed (slots on
//	         bound.Laid.High) is a timetable; the one in which it waits only for the listener that
//	         minds least (slots on Low) gives a first F
//	tours    blocks that must all take turns: no cycle is shorter than the shortest way round them
//	shift    move single blocks and groups about, each group waiting until all sound has died that the next
//	         ones mind (threshold accepting)
//	improve  take some blocks out and put them back so that the cycle is shorter than T*
//	few      some blocks alone need no longer a cycle than all: solved for themselves, those that get into
//	         one another's way most raise F
//	search   blocks are placed one by one, the one with the fewest places first, each into a group
//	         there is or into a new one between two, as long as the differences leave a period of at
//	         most T. Dropping a block never lengthens a cycle, so what does not fit will never fit.
//	         With T = T* − 1 that proves T*; with a T between, it raises F
//
// The matrix of longest paths between groups is kept closed, so that a place is tried in time quadratic
// in the number of groups. Everything is walked in fixed order; draws come from fixed starts.
package order
