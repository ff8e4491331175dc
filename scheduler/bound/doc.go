// Package bound says how short a cycle of slots cannot be, and why, in lines a pencil can follow.
//
// In: an instance.Problem, laid bare as a Graph of turns. Out: lower bounds on the sum of the
// groups' longest turns, each with the jobs that prove it.
//
//	slots ─► bound ─► instance
//
// Grouping jobs so that the sum of the groups' longest turns is least is max-colouring (weighted
// vertex colouring): Pemmaraju, Raman, Varadarajan, "Buffer minimization using max-coloring",
// SODA 2004. The bounds used, with turns W1 > W2 > … and G(t) the jobs whose turn is at least t:
//
//   - clique: jobs of which any two conflict must all take turns; their turns add up;
//   - share: if no group holds more than a of some jobs, then taken from the longest turn to the
//     shortest, every a-th of them opens a group (a is what may run at once, or what the conflicts
//     leave); with a = 1 that is the clique;
//   - levels: with L(j) the longest turn t for which G(t) needs j groups by either of the above,
//     the j-th longest group lasts at least L(j). This is the threshold bound
//     sum of chi(G(Wi)) (Wi − Wi+1) with proven bounds in place of chi.
package bound
