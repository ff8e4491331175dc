// Package coverage says what a machine sees of the zones it must watch, what it misses and why.
//
// In: a resolved scene, and for each of its sensors an acoustic ear and the distance it listens to.
// Out: for every state of the machine the zones with the machine itself taken out, the lobes after
// shadows and constant readings of the machine's own parts, k-fold areas, a verdict a zone, blind
// spots with cause and the widest thing each can hide, overlaps of all pairs, and findings in words.
//
// Every area is that of a face of one exact arrangement of polygons (geometry/region); nothing is
// sampled. A figure therefore differs from the true one only as far as a lobe's edge does from the
// true lobe's, and each verdict carries that bound.
//
//	scene ─► footprint of body and parts ─┐
//	                                      ├─► zones ─┐
//	ears ──► lobe − shadows − readings ──────────────┴─► overlay ─► folds, verdicts, blind region
//	         of its own machine                                          │
//	ears ──► the lobe with one thing different ──────────────────────────┴─► causes ─► spots, findings
//
// A place of a target where it would stand in the machine is no place: zones lose the machine grown by the
// radius of a round target wherever their heights meet.
//
// A sensor inside the outline of something at its own height looks out of where its heading leaves it, as
// through a hole, and is shaded by the rest; within a mount's thickness of the outline it stands on it.
//
// Rule of the constant reading: a module that reports its first echo reports nothing later than the
// echo of its own machine, so a part in the beam acts as the end of the listening window.
//
// Each connected part of a blind region is explained by itself, and each sensor is heard by itself, so that a [Memory] has
// most of them ready when a scene comes that differs little from the one before.
package coverage
