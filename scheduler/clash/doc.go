// Package clash says why a budget cannot be met: a smallest set of demands that no cycle within it keeps.
//
// In: an instance.Problem whose shortest cycle is proven to be above its budget, or whose demands contradict each
// other. Out: a Clash, demands of that problem that cannot all be kept; smallest means that without any one of
// them, the others can. Another set, of fewer demands, may clash too.
//
//	clash ─► scheduler ─► … ─► instance
//
// A demand fewer never makes the shortest cycle longer, so a demand that was found to be needed stays needed when others
// are left out (a deletion filter: Chinneck and Dravnieks, "Locating minimal infeasible constraint sets in
// linear programs", ORSA Journal on Computing 3, 1991). Jobs go first, the shortest first, by halves, so that few and long
// ones are left; then what holds for all (jitter, guard), then what joins them. Each step asks
// scheduler.Solve for either answer: a cycle within the budget, or a bound above it. Where the work allowed brings neither,
// the demand is kept, and the set is not called smallest.
package clash
