package plan

import (
	"math"
	"reflect"
	"testing"
)

// A sensor that reckons with 343 m/s, in still air of 343 m/s: 1000 µs are 171.5 mm.
func TestShowsIsHalfTheWay(t *testing.T) {
	p := table()
	p.Air = Air{Slowest: 343, Fastest: 343}
	p.Sensors = []Sensor{{Name: "a", ListenM: 343 * 250e-6 / 2, BusyUs: 400}} // its burst comes at most 50 µs after the trigger
	w := p.WindowOf("a")
	if w.OpenUs != 100 || w.CloseUs != 300 || w.AgainUs != 400 {
		t.Errorf("%+v", w)
	}
	got := w.Shows([2]int64{150, 300})
	for k, want := range [2]float64{343 * 100e-6 / 2, 343 * 300e-6 / 2} {
		if math.Abs(got[k]-want) > 1e-9 {
			t.Errorf("shows %v", got)
		}
	}
	if away := p.AwayM("a", 1050); math.Abs(away-343*1e-3/2) > 1e-9 {
		t.Errorf("the last echo of a comes from %g m", away)
	}
}

// One that reckons with 343 m/s shows too much in slow air and too little in fast, but its own speed alone turns time into metres.
func TestWindowKnowsTheSpeedReckonedWith(t *testing.T) {
	p := table()
	p.Air = Air{Slowest: 325, Fastest: 355}
	p.Sensors = []Sensor{{Name: "a", ListenM: 325 * 300e-6 / 2, ReadingError: [2]float64{343./325 - 1, 343./355 - 1}}}
	got := p.WindowOf("a").Shows([2]int64{200, 200})
	if math.Abs(got[0]-343*200e-6/2) > 1e-9 || math.Abs(got[1]-343*200e-6/2) > 1e-9 {
		t.Errorf("shows %v", got)
	}
}

// What is read fired together ends where the window does.
func TestReadsEndsWithTheWindow(t *testing.T) {
	p := table()
	p.Air = Air{Slowest: 340, Fastest: 340}
	p.Sensors = []Sensor{{Name: "a", ListenM: 340 * 300e-6 / 2}}
	got := p.Reads(Arc{To: "a", ReadsM: [2]float64{0.03, 5}})
	if got[0] != 0.03 || math.Abs(got[1]-0.051) > 1e-9 {
		t.Errorf("reads %v", got)
	}
}

func TestOtherOrders(t *testing.T) {
	p := table(Arc{From: "a", To: "b", FromUs: 200, UntilUs: 290}, Arc{From: "b", To: "b", FromUs: 200, UntilUs: 450})
	for k := range p.Schedule.Firings {
		f := &p.Schedule.Firings[k]
		f.BusyUntilUs = f.AtUs + 320
	}
	p.Schedule.GuardUs = 10
	// All at once the cycle is the 320 µs of the line; b's own sound then comes until 130 µs after it fires again, open from 100.
	if cycle, pairs, own := p.AllAtOnce(); cycle != 320 || pairs != 1 || own != 1 {
		t.Errorf("all at once: cycle %d, %d pairs, %d own", cycle, pairs, own)
	}
	// In turns a needs 320 and b 450 - 100, each with 10 of guard.
	if cycle, pairs, own := p.OneByOne(); cycle != 320+10+350+10 || pairs != 0 || own != 0 {
		t.Errorf("in turns: cycle %d, %d pairs, %d own", cycle, pairs, own)
	}
}

// In ticks of 500 us a firing planned at 15.271 ms comes at tick 31, and all its times with it; the cycle is what the ticks add up to.
func TestTickedIsWhatRuns(t *testing.T) {
	s := Schedule{CycleUs: 30542, CycleTicks: 62, TickUs: 500, RealisedCycleUs: 31000, Firings: []Firing{
		{Sensor: "a", AtUs: 0, ListenUntilUs: 14071}, {Sensor: "b", AtUs: 15271, AtTicks: 31, MayHearFromUs: 15300, ListenFromUs: 15400, ListenUntilUs: 29342, BusyUntilUs: 29342, LateUntilUs: 44300},
	}}
	got := s.Ticked()
	want := Firing{Sensor: "b", AtUs: 15500, AtTicks: 31, MayHearFromUs: 15529, ListenFromUs: 15629, ListenUntilUs: 29571, BusyUntilUs: 29571, LateUntilUs: 44529}
	if got.CycleUs != 31000 || !reflect.DeepEqual(got.Firings[1], want) || s.Firings[1].AtUs != 15271 || !reflect.DeepEqual(got.Firings[0], s.Firings[0]) {
		t.Errorf("%+v", got)
	}
}
