package compare

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/golang/geo/s1"

	"echowright/planner/acoustics"
	"echowright/planner/scene"
)

const ms = time.Millisecond

var (
	room  = scene.Air{TemperatureC: scene.Span{Lo: 20, Hi: 20}, HumidityPct: scene.Span{Lo: 50, Hi: 50}, PressurePa: scene.Span{Lo: 101325, Hi: 101325}}
	wall  = scene.Target{Name: "wall", Shape: scene.Wall, HeightM: scene.Span{Hi: 2}}
	post  = scene.Target{Name: "post", Shape: scene.Post, RadiusM: 0.0375, HeightM: scene.Span{Hi: 1}}
	cloth = scene.Target{Name: "cloth", Shape: scene.Wall, Surface: "cloth", HeightM: scene.Span{Hi: 2}, LossDB: scene.Value{X: 6}}
	kerb  = scene.Target{Name: "kerb", Shape: scene.Kerb, HeightM: scene.Span{Hi: 0.12}}
)

// pair is a 40 kHz pair that reaches 4 m against a wall and whose line gives up after 20 ms.
func pair() scene.Kind {
	return scene.Kind{
		Name: "pair", CarrierHz: scene.Value{X: 40e3, From: scene.Datasheet},
		Ranges: []scene.Range{{M: scene.Value{X: 4, From: scene.Datasheet}, Against: wall, EndedBy: scene.EndedByThreshold}},
		BlindM: scene.Value{X: 0.03, From: scene.Bench}, InsideReads: scene.ReadsUnknown,
		Beam: scene.Beam{Across: 0.5, Upright: 0.5, AcrossFrom: scene.Datasheet, UprightFrom: scene.Assumed,
			Meaning: scene.BeamMeaning{LevelDB: -6, TwoWay: true}, NeverBelowDB: scene.Value{X: -30, From: scene.Estimate}},
		Timing: scene.Timing{By: scene.ByModule, TriggerToBurst: scene.TimeSpan{Lo: ms / 2, Hi: ms}, Burst: ms / 4, BusyWithoutEcho: 20 * ms, Rest: 5 * ms, Transfer: 2 * ms},
		Supply: scene.Supply{VoltsV: scene.Span{Lo: 4.5, Hi: 5.5}, NominalV: scene.Value{X: 5}},
	}
}

func side(t *testing.T, k scene.Kind, targets ...scene.Target) Table {
	t.Helper()
	table, err := Side([]scene.Kind{k}, targets, room)
	if err != nil {
		t.Fatal(err)
	}
	return table
}

func (t Table) cell(what string) Cell {
	for _, r := range t.Rows {
		if r.What == what {
			return r.Cells[0]
		}
	}
	return Cell{}
}

// A module cannot see farther than it listens: at 343.99 m/s (Cramer 1993, 20 degC, 50 %) a line that
// gives up after 20 ms leaves (20 - 1 - 0.25) ms / 2 = 3.22 m, and with the earliest burst 3.31 m.
func TestReachIsCappedByWhatCanBeTimed(t *testing.T) {
	k := pair()
	c := side(t, k, wall).cell("seen to, wall")
	if c.Is != "3.2 m..3.3 m" || !strings.Contains(c.From, "its line gives up after 20 ms: (20 - 1 - 0.25) ms x 344 m/s / 2 = 3.22 m") {
		t.Errorf("%+v", c)
	}
	k.Timing.AnswerAfter = 15 * ms
	if c := side(t, k, wall).cell("seen to, wall"); !strings.HasPrefix(c.From, "its answer is ready after 15 ms") {
		t.Errorf("%+v", c)
	}
	k.Timing.AnswerAfter, k.Timing.BusyWithoutEcho = 0, 0
	if c := side(t, k, wall).cell("seen to, wall"); strings.Contains(c.From, "after") {
		t.Errorf("no end is known, yet %+v", c)
	}
}

// The level at 1 m of path by hand: 20 lg 8 + 8 m x 1.3177 dB/m (ISO 9613-1 at 40 kHz, 20 degC, 50 %) = 28.6 dB,
// 20 lg(4.5/5) = -0.9 dB of supply.
func TestGainSaysWhereItComesFrom(t *testing.T) {
	c := side(t, pair(), wall).cell("level at 1 m of path")
	if c.Is != "27.7 dB" || !strings.Contains(c.From, "20 lg(2 x 4.00) + 1.32 x 8.00 = 28.6; 28.6 at 5 V, and at 4.5 V 27.7") {
		t.Errorf("%+v", c)
	}
}

// Two ranges that cannot both be true: a post at 4 m answers 10 lg((4+0.0375)/0.0375) = 20.3 dB less than a wall.
func TestRangesThatContradictEachOther(t *testing.T) {
	k := pair()
	odd := k.Ranges[0]
	odd.Against = post
	k.Ranges = append(k.Ranges, odd)
	gains, err := RangeGains(k, room)
	if err != nil {
		t.Fatal(err)
	}
	db, low, high := Disagree(gains)
	if math.Abs(db-20.32) > 0.01 || low.Range.Against.Name != "wall" || high.Range.Against.Name != "post" {
		t.Errorf("%.2f dB, %s and %s", db, low.Range.Against.Name, high.Range.Against.Name)
	}
	if c := side(t, k, wall).cell("level at 1 m of path"); !strings.Contains(c.From, "contradict each other by 20 dB: 4.00 m against wall and 4.00 m against post") {
		t.Errorf("%+v", c)
	}
	// A range ended by a time-out says at least: less than the other is no contradiction, more is one.
	k.Ranges[1].EndedBy = scene.EndedByTimeout
	k.Ranges[1].M.X = 0.5
	gains, _ = RangeGains(k, room)
	if db, _, _ := Disagree(gains); db != 0 {
		t.Errorf("a time-out at 0.5 m contradicts 4 m by %.1f dB", db)
	}
	k.Ranges[1].M.X = 4
	gains, _ = RangeGains(k, room)
	if db, _, _ := Disagree(gains); db < 20 {
		t.Errorf("%.1f dB", db)
	}
}

// A kerb answers from its foot, off the axis of a level module, so it is seen less far than a wall; how
// high the module is taken to stand is said.
func TestKerbIsNotAWall(t *testing.T) {
	k := pair()
	k.Timing.BusyWithoutEcho = 0
	m, err := acoustics.NewModel(k, room)
	if err != nil {
		t.Fatal(err)
	}
	w, _ := reaches(k, m, wall)
	b, err := reaches(k, m, kerb)
	if err != nil {
		t.Fatal(err)
	}
	if !(b[0].m < w[0].m-0.01 && b[0].m > w[0].m/2) {
		t.Errorf("kerb to %.3f m, wall to %.3f m", b[0].m, w[0].m)
	}
	if c := side(t, k, kerb).cell("seen to, kerb"); !strings.Contains(c.From, "seen from 0.25 m over smooth ground") {
		t.Errorf("%+v", c)
	}
}

// What is printed of a figure ends in the figure.
func TestArithmeticEndsInItsFigure(t *testing.T) {
	table := side(t, pair(), cloth)
	for what, want := range map[string]string{
		"one reading takes":     "line held when nothing answers 20 + fetch 2 + rest 5 = 27.0 ms",
		"beam across x upright": "mm across and",
	} {
		if c := table.cell(what); !strings.Contains(c.From, want) {
			t.Errorf("%s: %q lacks %q", what, c.From, want)
		}
	}
	if c := table.cell("one reading takes"); !strings.HasSuffix(c.From, "= "+c.Is) {
		t.Errorf("%+v", c)
	}
	if want := "cloth: a wall, cloth, 6 dB lost, from 0 mm to 2.00 m over the ground"; !slices.Contains(table.Targets, want) || !strings.Contains(table.Text(), want) {
		t.Errorf("targets %q", table.Targets)
	}
}

func TestMeasuredBeamIsShownAsMeasured(t *testing.T) {
	k := pair()
	k.Beam.TableAgainst = post
	for _, p := range [][2]float64{{-0.5, 0.3}, {0, 1.5}, {0.5, 0.3}} {
		k.Beam.Table = append(k.Beam.Table, scene.BeamPoint{Bearing: s1.Angle(p[0]), RangeM: p[1]})
	}
	c := side(t, k, wall).cell("beam across x upright")
	if c.Is != "measured, -29..29 deg" || !strings.Contains(c.From, "a table of 3 places against post") || !strings.Contains(c.From, "at most 1.50 m") {
		t.Errorf("%+v", c)
	}
}

func TestSourcesNameEveryValue(t *testing.T) {
	got := Sources(pair())
	for _, want := range []string{"datasheet   carrier: 40 kHz", "datasheet   range: 4.00 m against wall, ended by threshold", "bench       blind distance: 30 mm", "assumed     beam upright: 29 deg", "estimate    beam never below: -30 dB"} {
		if !strings.Contains(got, want) {
			t.Errorf("lacks %q:\n%s", want, got)
		}
	}
}
