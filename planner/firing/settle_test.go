package firing

import (
	"errors"
	"math/rand/v2"
	"testing"

	"echowright/scheduler/delays"
)

// Cycles that grow with a slope, in steps: settle ends at one that fits, not much longer than the least, or says that there is none
// within twenty times the first.
func TestSettle(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	fit, none := 0, 0
	for range 500 {
		base, slope, step := 1000+r.Int64N(200_000), 1.1*r.Float64(), 1+r.Int64N(300)
		grows := func(us int64) int64 { return base + int64(slope*float64(us))/step*step }
		least := base
		for grows(least) > least {
			if least = grows(least); least > 100*base {
				break
			}
		}
		last, calls := int64(0), 0
		err := settle(base, func(us int64) (int64, error) { last, calls = us, calls+1; return grows(us), nil })
		var no *delays.Cannot
		switch {
		case calls > mostRounds:
			t.Errorf("%d calls", calls)
		case err == nil:
			fit++
			if grows(last) > last || float64(last) > 1.35*float64(least)+float64(step) {
				t.Errorf("base %d, slope %.3f, step %d: settled at %d after %d, least %d", base, slope, step, last, calls, least)
			}
		case !errors.As(err, &no) || least < 15*base:
			t.Errorf("base %d, slope %.3f, step %d: %v, least %d", base, slope, step, err, least)
		default:
			none++
		}
	}
	if fit < 300 || none < 40 {
		t.Errorf("%d fit, %d do not", fit, none)
	}
	stop := errors.New("stop")
	if err := settle(5, func(int64) (int64, error) { return 0, stop }); err != stop {
		t.Error(err)
	}
}
