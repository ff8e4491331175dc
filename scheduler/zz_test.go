package scheduler_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

func TestZZ(t *testing.T) {
	for _, style := range []instance.Style{instance.Slots, instance.Staggered} {
		for seed := uint64(1); seed <= 4; seed++ {
			for _, f := range []int64{110, 120, 130, 150} {
				p := st.Mixed(12, style, seed, f*1000, f*2000, f*3000)
				ctx, cancel := context.WithTimeout(context.Background(), 4*time.Second)
				t0 := time.Now()
				tt, err := scheduler.Solve(ctx, p, scheduler.Options{})
				cancel()
				if err != nil {
					fmt.Println(p.Name, f, err, time.Since(t0))
					continue
				}
				fmt.Println(p.Name, f, tt.CycleUs, tt.LowerBoundUs, tt.Proven, len(tt.Firings), tt.Nodes, time.Since(t0))
			}
		}
	}
}
