// Package parallel spreads work of independent parts over processors: in go a number of parts and what to do with
// each, out comes word whether all were done. Neither the number of processors nor the order in which they come to the parts
// can change a result, as long as each part writes only what belongs to it.
package parallel

import (
	"context"
	"fmt"
	"runtime/debug"
	"sync"
	"sync/atomic"
)

// Each calls do for 0 … n−1 on up to workers goroutines. It begins no call once ctx has ended and then returns its error: what
// was to be filled in is incomplete. A panic of do surfaces in the caller, with the place it came from; of several
// that of the least index.
func Each(ctx context.Context, n, workers int, do func(i int)) error {
	if workers = min(workers, n); workers <= 1 {
		for i := range n {
			if err := ctx.Err(); err != nil {
				return err
			}
			do(i)
		}
		return ctx.Err()
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	faults := make([]any, n)
	for range workers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				faults[i] = fault(do, i)
			}
		})
	}
	wg.Wait()
	for _, f := range faults {
		if f != nil {
			panic(f)
		}
	}
	return ctx.Err()
}

// fault does one part and catches its panic; nil where there is none.
func fault(do func(i int), i int) (f any) {
	defer func() {
		if p := recover(); p != nil {
			f = fmt.Sprintf("%v\n%s", p, debug.Stack())
		}
	}()
	do(i)
	return nil
}
