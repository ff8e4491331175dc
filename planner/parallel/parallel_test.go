package parallel

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync/atomic"
	"testing"
)

func TestEachDoesAllOnce(t *testing.T) {
	for _, workers := range []int{0, 1, 2, 7, 200} {
		for _, n := range []int{0, 1, 5, 100} {
			done := make([]int, n)
			if err := Each(context.Background(), n, workers, func(i int) { done[i]++ }); err != nil {
				t.Fatal(err)
			}
			for i, times := range done {
				if times != 1 {
					t.Errorf("%d workers, part %d of %d done %d times", workers, i, n, times)
				}
			}
		}
	}
}

func TestPanicSurfacesInTheCaller(t *testing.T) {
	for _, workers := range []int{1, 3} {
		text := func() (text string) {
			defer func() { text = fmt.Sprint(recover()) }()
			_ = Each(context.Background(), 20, workers, func(i int) {
				if i >= 7 {
					panic(fmt.Sprintf("part %d", i))
				}
			})
			return "none"
		}()
		if !strings.HasPrefix(text, "part 7") {
			t.Errorf("%d workers: %s", workers, text)
		}
	}
}

func TestEachStops(t *testing.T) {
	for _, workers := range []int{1, 4} {
		ctx, cancel := context.WithCancel(context.Background())
		var calls atomic.Int64
		err := Each(ctx, 10_000, workers, func(int) {
			switch n := calls.Add(1); {
			case n == 10:
				cancel()
			case n > 10: // begun before the tenth had cancelled
				<-ctx.Done()
			}
		})
		if !errors.Is(err, context.Canceled) || calls.Load() > 10+int64(workers) {
			t.Errorf("%d workers: %v after %d calls", workers, err, calls.Load())
		}
	}
}
