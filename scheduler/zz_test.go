package scheduler_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"echowright/scheduler"
	"echowright/scheduler/instance"
	st "echowright/scheduler/schedulertest"
)

func TestZZLimit(t *testing.T) {
	for _, lim := range []time.Duration{300 * time.Millisecond} {
		for _, n := range []int{1000} {
			for _, kind := range []string{"echoes", "full", "order", "res", "holes"} {
				p := st.Echoes(n, n/8, 160, 1)
				r := rand.New(rand.NewPCG(1, 1))
				switch kind {
				case "full":
					p.Conflicts = nil
					for i := range n {
						for j := range i {
							p.Conflicts = append(p.Conflicts, [2]int{i, j})
						}
					}
				case "order":
					p.Order = [][]int{r.Perm(n)[:n/2]}
				case "res":
					res := instance.Resource{Capacity: 7}
					for j := range n {
						res.Uses = append(res.Uses, instance.Use{Job: j, Amount: 1 + r.Int64N(3), FromUs: 0, UntilUs: 1 + r.Int64N(20000)})
					}
					p.Resources = append(p.Resources, res)
				case "holes":
					for k := range p.Arcs {
						p.Arcs[k].FromUs += 60000
						p.Arcs[k].UntilUs += 60000
					}
				}
				ctx, cancel := context.WithTimeout(context.Background(), lim)
				b := time.Now()
				tt, err := scheduler.Solve(ctx, p, scheduler.Options{})
				d := time.Since(b)
				cancel()
				if d > lim+20*time.Millisecond {
					fmt.Println(lim, n, kind, len(p.Arcs), d, err, tt.CycleUs, tt.LowerBoundUs, tt.Nodes)
				}
			}
		}
	}
}
