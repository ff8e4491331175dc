// Package plantest makes Plans for tests of what reads them: small, complete, and with names that try to break out.
package plantest

import "echowright/planner/plan"

// Hostile is a name that a writer which does not escape would let out into markup, a formula or a comment.
const Hostile = `=1+1 <script>alert("x")</script> & 'quo"te' */ ]]> %s {{.}}`

// Small is a complete plan of two sensors on a square body, every name hostile.
func Small() *plan.Plan {
	square := plan.Ring{{0.3, 0.3}, {-0.3, 0.3}, {-0.3, -0.3}, {0.3, -0.3}}
	lobe := plan.Ring{{0.5, 0.1}, {2, 0.6}, {2.2, 0}, {2, -0.6}, {0.5, -0.1}}
	zone := plan.Ring{{0.4, 0.5}, {0.4, -0.5}, {1.4, -0.5}, {1.4, 0.5}}
	share, gap := 0.95, 0.05
	at := [2]float64{0.45, 0.3}
	sensor := func(name string, y float64) plan.Sensor {
		return plan.Sensor{Name: name, Kind: Hostile, X: 0.3, Y: y, Z: 0.2, FrequencyHz: 40000, AbsorptionDBm: [2]float64{0.4, 1.6},
			BlindUntilUs: 900, ListenUntilUs: 12000, BusyUs: 15000, GainDB: [2]float64{27, 35}, BlindM: 0.12, ListenM: 1.9,
			Beam: plan.Beam{Shape: "piston", SemiAxesM: [2]float64{0.005, 0.005}, FloorDB: -30}, ReadingError: [2]float64{0.03, -0.02},
			OnAxis: []plan.Reach{{Target: Hostile, FromM: 0.12, ToM: 1.7, EndedBy: plan.EndedByEcho}}}
	}
	return &plan.Plan{
		Format: plan.Format, Layout: Hostile, Estimates: 3, Deciding: 12, Sources: []string{"ISO 9613-1:1993"}, Assumed: []string{Hostile},
		EstimateList: []string{Hostile}, States: []string{Hostile},
		Air:       plan.Air{Slowest: 331, Fastest: 350, SlowestAt: plan.Weather{TemperatureC: 0, HumidityPct: 20}, FastestAt: plan.Weather{TemperatureC: 30, HumidityPct: 90}},
		Around:    plan.Around{Ground: "smooth", WallsM: [2]float64{0.5, 8}, Bounces: 1},
		Body:      plan.Body{Outline: square, HeightM: [2]float64{0.1, 0.4}, Parts: []plan.Part{{Name: Hostile, Outline: plan.Ring{{0.3, 0.05}, {0.3, -0.05}, {0.4, 0}}, HeightM: [2]float64{0, 0.2}}}},
		Sensors:   []plan.Sensor{sensor(Hostile, 0.1), sensor("b", -0.1)},
		Targets:   []plan.Target{{Name: Hostile, Shape: "post", RadiusM: 0.0375, HeightM: [2]float64{0, 1}}},
		Zones:     []plan.Zone{{Name: Hostile, Target: Hostile, State: Hostile, Polygon: plan.Polygon{zone}}},
		Lobes:     []plan.Lobe{{Sensor: Hostile, Target: Hostile, State: Hostile, Polygon: plan.Polygon{lobe}, ErrorM: 0.001}},
		SideViews: []plan.SideView{{Sensor: Hostile, Target: Hostile, Polygon: plan.Polygon{{{0, 0.2}, {1.8, 0.6}, {1.8, 0}}}}},
		Curves:    []plan.Curve{{Kind: Hostile, Target: Hostile, Points: [][2]float64{{0.1, 20}, {1, 8}, {2, -4}}, ReachM: [2]float64{1.7, 2.2}}},
		Coverage: []plan.Coverage{{Zone: Hostile, Target: Hostile, State: Hostile, AreaM2: 1, CoveredM2: 0.9, FoldM2: []float64{0.1, 0.9, 0},
			WidestGapM: 0.11, WidestGapAt: &at, Required: plan.Required{SeenBy: 1, Share: &share, LargestGap: &gap}, AreaErrorM2: 0.004}},
		BlindSpots: []plan.BlindSpot{{Zone: Hostile, Target: Hostile, State: Hostile, Cause: "too close", Part: Hostile, AreaM2: 0.1, Centroid: at, NearestM: 0.1, HidesM: 0.11, HidesAt: at, OwnM: 0.11, OwnAt: at,
			Polygon: plan.Polygon{{{0.4, 0.5}, {0.4, 0.2}, {0.5, 0.2}, {0.5, 0.5}}}}},
		Overlaps:  []plan.Overlap{{A: Hostile, B: "b", Target: Hostile, State: Hostile, AreaM2: 0.4}},
		Masks:     []plan.Mask{{Sensor: Hostile, State: Hostile, What: Hostile, ReadsM: 0.42, LevelDB: 6}},
		Crosstalk: []plan.Arc{{From: Hostile, To: "b", Path: "wall", Points: [][2]float64{{0.3, 0.1}, {0.8, 0}, {0.3, -0.1}}, FromUs: 3000, UntilUs: 15400, LevelDB: 12, ReadsM: [2]float64{0.52, 3.6}, Harms: true}},
		Schedule: plan.Schedule{Style: "slots", CycleUs: 31000, BudgetUs: 40000, LowerBoundUs: 31000, Proven: true, Why: "both must take turns\n2 x 15.5 ms", Groups: [][]string{{Hostile}, {"b"}}, Met: true, AllAtOnce: 2, TickUs: 4, CycleTicks: 7750, RealisedCycleUs: 31000,
			Firings: []plan.Firing{{Sensor: Hostile, Group: 1, AtUs: 0, MayHearFromUs: 600, ListenFromUs: 900, ListenUntilUs: 12000, BusyUntilUs: 15000, LateUntilUs: 15500, ListenFromTicks: 225, ListenUntilTicks: 3000, BusyUntilTicks: 3750}, {Sensor: "b", Group: 2, AtUs: 15500, MayHearFromUs: 16100, ListenFromUs: 16400, ListenUntilUs: 27500, BusyUntilUs: 30500, LateUntilUs: 31000, AtTicks: 3875, ListenFromTicks: 4100, ListenUntilTicks: 6875, BusyUntilTicks: 7625}}},
		Warnings: []plan.Warning{{Zone: Hostile, Target: Hostile, State: Hostile, Way: "forward", Asked: true, SeenBy: 1, LaneM: [2]float64{-0.34, 0.34}, SpeedMS: 0.8, Confirm: 2, Of: 3,
			FirstM: 0.9, At: [2]float64{1.24, 0.34}, Sensor: Hostile, SeenFromM: 1.3, SeenToM: 0.2, WaitUs: 31000, ReadingsUs: 93000, EchoUs: 9000, DetectUs: 102000, ReactionUs: 1000000,
			NeededM: 1.24, SafeSpeedMS: 0.61, LimitSensor: "b", LimitAt: [2]float64{1.2, -0.34}}},
		Ready:    plan.Ready{BootUs: 60000, PowerUpUs: 300000, Sensor: "b", Confirm: 2, Of: 3, ReadingsUs: 77500, EchoUs: 12000, FirstWarningUs: 389500, AskedUs: 300000},
		Findings: []plan.Finding{{Severity: plan.NotMet, Code: "gap-too-wide", Text: Hostile, Where: Hostile, Mend: Hostile}},
	}
}
