package coverage

import (
	"fmt"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// each calls do for 0 … n−1 on up to workers goroutines. Each call writes only what belongs to its
// index, so the result does not depend on their number. A panic surfaces in the caller, with
// the place it came from.
func each(n, workers int, do func(i int)) {
	if workers = min(workers, n); workers <= 1 {
		for i := range n {
			do(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	faults := make([]any, n)
	for range workers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				func() {
					defer func() {
						if f := recover(); f != nil {
							faults[i] = fmt.Sprintf("%v\n%s", f, debug.Stack())
						}
					}()
					do(i)
				}()
			}
		})
	}
	wg.Wait()
	for _, f := range faults {
		if f != nil {
			panic(f)
		}
	}
}
