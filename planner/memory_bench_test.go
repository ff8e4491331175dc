package planner

import (
	"context"
	"fmt"
	"syscall"
	"testing"
	"time"

	"echowright/assets"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

func sceneOf(t testing.TB, name string, data []byte) *scene.Scene {
	t.Helper()
	sc, list := Load(name, data, assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	return sc
}

// moved is a scene with its second sensor shifted along y.
func moved(sc *scene.Scene, by float64) *scene.Scene {
	c := *sc
	c.Sensors = append([]scene.Sensor(nil), sc.Sensors...)
	c.Sensors[1].At.Y += by
	return &c
}

// spent is the processor time this process has used, which other work on the machine lengthens less than the hour.
func spent(t testing.TB) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// dragged measures what a Memory does for each step of a drag of one sensor round the ring of bench_test.go, against a whole
// quick analysis made anew in the same run. For 32 sensors the aim of See is 50 ms on two processors.
func dragged(b *testing.B, what func(m *Memory, sc *scene.Scene) (*plan.Plan, error)) {
	for _, n := range []int{12, 32, 64} {
		b.Run(fmt.Sprintf("n=%d", n), func(b *testing.B) {
			sc := sceneOf(b, "ring", ringLayout(n))
			must := func(p *plan.Plan, err error) {
				if err != nil || len(p.Lobes) < n {
					b.Fatal(err)
				}
			}
			begun := spent(b)
			must(Analyse(context.Background(), sc, Options{Quick: true}))
			whole := spent(b) - begun
			var m Memory
			must(what(&m, sc))
			b.ReportAllocs()
			begun, k := spent(b), 0
			for b.Loop() {
				k++
				must(what(&m, moved(sc, 1e-4+1e-3*float64(k%20))))
			}
			one := (spent(b) - begun).Seconds() / float64(k)
			b.ReportMetric(one*1e3, "cpu-ms/op")
			b.ReportMetric(whole.Seconds()/one, "anew/op")
		})
	}
}

// BenchmarkSeeMoved is a step of a drag, scene to coverage.
func BenchmarkSeeMoved(b *testing.B) {
	dragged(b, func(m *Memory, sc *scene.Scene) (*plan.Plan, error) { return m.See(context.Background(), sc) })
}

// BenchmarkWholeMoved is the same to the firing plan and warnings.
func BenchmarkWholeMoved(b *testing.B) {
	dragged(b, func(m *Memory, sc *scene.Scene) (*plan.Plan, error) {
		return m.Analyse(context.Background(), sc, Options{Quick: true})
	})
}
