// Package stagger finds the shortest cycle in which every job has an offset of its own.
//
// In: an instance.Problem of the staggered style, and any timetable of slots for it to begin with. Out: an
// instance.Timetable with its proof, no longer than that.
//
//	scheduler ─► stagger ─► bound (its meter and its words) ─► instance
//
// Blocks, jobs that must fire together, are the vertices. What two of them demand of each other are open spans
// (after, before) in which the distance d = t(v) − t(u) of their firings must not lie: sound that meets a window, jobs in
// conflict that are occupied, uses of a resource that are too much together. Both repeat for ever, so none of
//
//	after + k·T < d < before + k·T        for any whole k
//
// may be (periodic event scheduling: Serafini and Ukovich, "A mathematical model for periodic scheduling
// problems", SIAM J. Discrete Math. 2, 1989). All fire in [0, T) counted from one of them, or from the
// cycle's beginning where there are chains. Then for each span and each k that reaches into the distances of one
// cycle, one of two differences holds: d >= before + k·T, or d <= after + k·T. In the usual case, a span around 0, that
// is who of the two comes first, and two more that hold anyhow. More held than there is of something by three or more is
// found when it happens, and adds a choice: two of those must not meet.
//
// How it is solved, T* being the best cycle so far, F what no cycle is shorter than:
//
//	squeeze   slots are a staggered timetable; with all that meets in it kept in its order, the least cycle is
//	          the largest ratio of what a ring of differences adds up to and its cycles
//	round     F: blocks that take turns, in whatever order (assignment, then joining its rings)
//	share     F: holds of blocks of which only so many hold at once (a fractional colouring)
//	engine    decides who comes first pair by pair, keeps the longest paths between all vertices closed, so that
//	          what is no longer possible is decided at once, and learns a clause from each dead end: those
//	          decisions that cannot all be (conflict-driven clause learning, Marques-Silva and Sakallah 1996,
//	          over differences). Dead ends are rings of differences too long for T* − 1, and rounds that the
//	          decisions have made too long: the prices of the assignment say which decisions those are
//
// Two engines take turns: one looks for less than T*, the other between F and T* to lift F. Both begin from the
// best timetable. What an engine has learned stays true while T* falls and F rises. The first also looks near the
// best timetable: it lets a few blocks go and keeps the order of all the rest (near).
//
// A longer cycle is not always right where a shorter one is, for sound that is older than a cycle. An engine
// therefore looks at a range of cycles: each difference is taken at the cycle of the range that asks least of it,
// which can only rule out too little, and when all is decided the least cycle of the range that is right is
// computed exactly; if there is none, the rings that show it are the clause.
//
// Rounds and shares close what learning is bad at, many that all take turns: twelve windows that all conflict were
// not proven in 8 s by learning alone (347 000 nodes) and need no node with rounds; a ring of 19 with
// conflicts up to 4 places away was not proven in 2 s and takes 60 ms with shares.
//
// What is not closed: 24 blocks that nearly all keep each other off, by spans that reach over the next four or five to
// fire. Bounds of who follows whom see only the next one. Tried in vain: closed walks over the last two to fire, each
// pair of them at its right distance, with prices for blocks (after ten seconds a tenth above the round for one of three
// and below it for two; learning gets a third above it);
// learning over bounds of each firing's time instead of over longest paths (as many dead ends, each twice as dear); reasons
// with the fewest decisions (fewer dead ends by at most a half, and two to four times as dear).
//
// Memory: some 100 bytes for each pair of up to 1 000 jobs; more are answered with slots. The two engines are for up to
// 300 vertices and have up to 60 000 decisions and 50 000 clauses each: 33 MB in all for 24 jobs and 45 MB
// for 64 after 25 s of unfinished search. Everything is walked in fixed order; what is left to chance has a fixed start.
package stagger
