// Package margins says what of a plan breaks first when something is otherwise than its layout states, and what is lost when one sensor
// fails.
//
// In: a scene, its Plan, and ways to reckon a changed scene. Out: a plan.Margins.
//
//	changed scene ─► clockwork and arcs ─► instance.Problem ─┐
//	Plan.Schedule ─► timetable, as the firmware has it ──────┴─► scheduler/check: Kept, Spent
//	changed scene ─► whole Plan ─► which demands are met ──────► Anew
//
// Two questions are asked of each quantity. Kept: the firmware is written, its timetable and its windows stay; at which change does the
// independent checker refuse them? Of a timetable as short as can be the guard is whole only just, so that is asked twice: with the guard as the
// layout asks for it, and with all of it used up. Anew: windows and timetable are made again for the changed layout; at which change is a
// demand missed that is met now?
//
// A change is looked for in whole steps. Where more of it can only do more harm (guard, jitter, clock error, a window, wider weather, another
// threshold: each only widens spans or weakens echoes), the space up to the greatest change is halved. A sensor turned may come out of one
// disturbance and into another, so two angles, the tolerance and the greatest looked at, are tried of every sensor either way, and only the
// space below the first that breaks is halved: what breaks and mends again below one that was tried and found right is not seen. At the change told it breaks and a step less it does not; both were reckoned.
//
// Quantities are compared by their parts of what the layout allows for: its guard, clock error, jitter, tolerances of heading and
// threshold; where it says nothing, of what common practice allows (no source).
package margins
