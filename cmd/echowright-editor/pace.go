//go:build !js

package main

import "time"

// pace rests between ticks, for nothing else slows a loop that draws nothing.
type pace struct {
	last  time.Time // the end of the rest before
	alive time.Time // when something last happened
}

const (
	quick = 7 * time.Millisecond  // a tick while something happens
	calm  = 14 * time.Millisecond // soon after
	slow  = 45 * time.Millisecond // when nothing has happened for a while: the first move is then seen that late
	still = 3 * time.Second       // that while
)

// rest waits for as long as the hands do not notice. Happened says that something was done in this tick, busy that
// the program waits for something.
func (p *pace) rest(happened, busy bool) {
	now := time.Now()
	if happened || p.alive.IsZero() {
		p.alive = now
	}
	span := slow
	switch {
	case happened:
		span = quick
	case busy || now.Sub(p.alive) < still:
		span = calm
	}
	if used := now.Sub(p.last); used < span {
		time.Sleep(span - used)
	}
	p.last = time.Now()
}
