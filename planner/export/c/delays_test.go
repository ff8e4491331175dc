package c

import (
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

const delayPrinter = `#include <inttypes.h>
#include <stdio.h>
#include "firing.h"
int main(void) {
	unsigned i, n;
	printf("%d %" PRIu32 "\n", ECHOWRIGHT_DELAY_CYCLES, ECHOWRIGHT_THRESHOLD_TICKS);
	for (i = 0; i < ECHOWRIGHT_FIRINGS; i++) {
		for (n = 0; n < ECHOWRIGHT_DELAY_CYCLES; n++)
			printf("%lu ", (unsigned long)echowright_delay_ticks[i][n]);
		printf("\n");
	}
	return (int)(echowright_firings[0].fire_ticks);
}
`

// Delays of two cycles, of many, and too long for 16 bits come back from the compiled header as they are in the Plan.
func TestCompiledDelaysAreThePlans(t *testing.T) {
	long := plantest.Delayed()
	long.Schedule.Delays.TableCycles = 37
	for i := range long.Schedule.Firings {
		long.Schedule.Firings[i].DelaysUs = nil
		for n := range int64(37) {
			long.Schedule.Firings[i].DelaysUs = append(long.Schedule.Firings[i].DelaysUs, (n*n%11+int64(i))*400)
		}
	}
	late := plantest.Delayed()
	late.Schedule.CycleTicks, late.Schedule.Firings[1].DelaysUs = 1<<20, []int64{0, 4 * 65536}
	for name, p := range map[string]*plan.Plan{"alternating": plantest.Delayed(), "long": long, "late": late} {
		got, err := compile(t, p, delayPrinter)
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, got)
		}
		d := p.Schedule.Delays
		want := fmt.Sprintf("%d %d\n", d.TableCycles, d.ThresholdTicks)
		for _, f := range p.Schedule.Firings {
			for _, us := range f.DelaysUs {
				want += fmt.Sprintf("%.0f ", math.Round(float64(us)/p.Schedule.TickUs))
			}
			want += "\n"
		}
		if got != want {
			t.Errorf("%s: compiled\n%swant\n%s", name, got, want)
		}
	}
}

// The compiler refuses a window that its delay takes past a cycle, and no threshold.
func TestCompilerRefusesDamagedDelays(t *testing.T) {
	for name, damage := range map[string]func(s *plan.Schedule){
		"a delay longer than the cycle": func(s *plan.Schedule) { s.Firings[1].DelaysUs[1] = s.CycleUs },
		"no threshold":                  func(s *plan.Schedule) { s.Delays.ThresholdTicks = 0 },
	} {
		p := plantest.Delayed()
		damage(&p.Schedule)
		out, err := compile(t, p, delayPrinter)
		if err == nil || !strings.Contains(out, "echowright_check_") {
			t.Errorf("%s: compiled, or failed otherwise: %v %s", name, err, out)
		}
	}
}

func TestDelayedHeaderIsCxxToo(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, plantest.Delayed()); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("c++", append([]string{"-std=c++11", "-fsyntax-only", "-x", "c++", "-"}, strict...)...)
	cmd.Stdin = &b
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
