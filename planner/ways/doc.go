// Package ways says what can be done about a cycle that is too long, or could be shorter: ways out, windows chosen together,
// and range against cycle.
//
// In: a scene and its Plan. Out: plan.Ways. It is asked for by itself, never within a plain plan, which must stay quick.
//
//	plan.Plan ─► why the cycle is so long ─► candidates ─► scene changed ─► planner ─► plan.Way
//	                                          │ style, windows, turn, move, readings, line, carrier
//	                                          └ several of them, where none is enough alone
//
// Candidates come from the reason: the demands that clash where a budget is missed, else the sensors that make the bound. A
// short search on the scheduler's problem alone says which are worth a whole analysis; what is offered has been through all of it:
// coverage, disturbance, timetable, checker, room to stop. Nothing is offered that was not reckoned.
//
// All limits are counts and not times, so that the same scene has the same ways on any machine.
package ways
