package coverage

import (
	"context"
	"errors"
	"testing"
)

// countdown is a context that ends after it was asked so often.
type countdown struct {
	context.Context
	left *int
}

func (c countdown) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// Wherever an analysis is called off it says so and gives nothing; called off after its end it is whole.
func TestAnalyseStops(t *testing.T) {
	sc := busyCart(4)
	in := listenAll(t, sc, 1.2)
	in.Workers = 1
	for after := 0; ; after += 1 + after/16 { // each of the first parts, ever fewer later
		left := after
		r, err := Analyse(countdown{t.Context(), &left}, sc, in)
		if err == nil {
			if after < 20 || len(r.Coverage) == 0 {
				t.Errorf("whole after %d parts: %+v", after, r.Coverage)
			}
			return
		}
		if !errors.Is(err, context.Canceled) || r.Coverage != nil {
			t.Fatalf("called off after %d parts: %v, %+v", after, err, r.Coverage)
		}
	}
}
