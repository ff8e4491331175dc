// Package region does exact arithmetic on sets of the plane: union, difference, and the overlay of
// many layers at once, in which every face knows exactly which layers hold it.
//
// In go rings of points in metres (x forward, y left, counter-clockwise positive), out come rings
// (outers counter-clockwise, holes clockwise) and areas in square metres.
//
// How it is built. Coordinates are snapped once to a fixed grid of 2^-34 m (58 pm); from there on
// everything that decides is integer arithmetic of 128 bits.
//
//	rings ─► segments ─► node ─► graph ─► faces ─► FoldAreas, PairAreas (exact sums)
//	          grid.go    node.go  graph.go  nest.go └► trace.go: rings of any choice of faces
//
// The three steps between:
//
//   - node: an arrangement of segments is rounded to the grid by snap rounding: all crossings are
//     found and correctly rounded, and each segment is bent, by less than a grid step, through every
//     vertex whose grid square it passes. What comes out meets at vertices only, provably.
//   - graph: coincident pieces become one edge with a change of winding per layer (none left: no
//     edge), the edges around each vertex are ordered exactly, and the cycles of half-edges walked.
//   - nest: a cycle with positive area bounds a face from outside, one with negative area is the
//     rim of a connected part that lies in some other face, found by the edge just below its
//     leftmost vertex. Labels spread across edges from the unbounded face.
//
// Snap rounding: J. D. Hobby, "Practical segment intersection with finite precision output",
// Computational Geometry 13 (1999) 199-214; L. J. Guibas and D. H. Marimont, "Rounding arrangements
// dynamically", Int. J. Computational Geometry & Applications 8 (1998) 157-178 (both from memory).
//
// Boundaries that should coincide and differ by more than the grid leave slivers; whoever lists
// pieces chooses what area is worth listing. No stretch of a boundary moves by more than a grid
// step in one operation, so areas are good to about its length times Grid.
//
// Results are pure functions of the sets given: neither the order of the layers nor of the rings
// nor the number of processors changes a byte of them.
package region
