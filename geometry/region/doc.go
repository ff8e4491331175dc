// Package region does exact arithmetic on sets of the plane: union, difference, and the overlay of
// many layers at once, in which every face knows exactly which layers hold it.
//
// In go rings of points in metres (x forward, y left, counter-clockwise positive), out come rings
// (outers counter-clockwise, holes clockwise) and areas in square metres.
//
// How it is built. Coordinates are snapped once to a fixed grid of 2^-34 m (58 pm); from there on
// everything that decides is integer arithmetic of 128 bits.
//
//		rings ─► segments ─► node ─► graph ─► faces ─► Area, FoldAreas, PairAreas (exact sums)
//		         grid.go     node.go  graph.go  nest.go └► trace.go: rings of any choice of faces
//
//	  - node: segments are cut where they meet and the meeting points rounded to the grid; since
//	    rounding bends a segment, what was cut is examined again until nothing meets any more except
//	    at ends. Every cut keeps the pieces inside the box of the whole, so their lengths |dx|+|dy|
//	    (integers of at least one) add up to the length of the whole and the cutting must end.
//	  - graph: coincident pieces become one edge with a change of winding per layer (none left: no
//	    edge), the edges around each vertex are ordered exactly, and the cycles of half-edges walked.
//	  - nest: a cycle with positive area bounds a face from outside, one with negative area is the
//	    rim of a connected part that lies in some other face, found by the edge just below its
//	    leftmost vertex. Labels spread across edges from the unbounded face.
//
// The method is iterated snap rounding of an arrangement (J. D. Hobby, "Practical segment
// intersection with finite precision output", Computational Geometry 13, 1999; D. Halperin and
// E. Packer, "Iterated snap rounding", Computational Geometry 23, 2002).
//
// Results are pure functions of the sets given: neither the order of the layers nor of the rings
// nor the number of processors changes a byte of them.
package region
