package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"

	"echowright/planner"
	"echowright/planner/export/draw"
	"echowright/planner/export/svg"
	"echowright/planner/plan"
	"echowright/planner/report"
	"echowright/planner/scene"
	"echowright/planner/ways"
)

func runWays(ctx context.Context, c *call) (int, error) {
	var asJSON bool
	var picture string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.BoolVar(&asJSON, "json", false, "print them as JSON")
		f.StringVar(&picture, "front", "", "file for the picture of range against cycle")
	}, 1, 1)
	if err != nil {
		return 0, err
	}
	sc, err := c.load(words[0])
	if err != nil {
		return 0, err
	}
	var memory planner.Memory
	p, err := memory.Analyse(ctx, sc, planner.Options{})
	if err != nil {
		return 0, err
	}
	if err := c.findWays(ctx, sc, p, &memory); err != nil {
		return 0, err
	}
	if picture != "" {
		var b bytes.Buffer
		if err := svg.Picture(&b, draw.RangeAgainstCycle(p.Ways, 760, 420), true); err != nil {
			return 0, err
		}
		if err := c.deliver(picture, b.Bytes()); err != nil {
			return 0, err
		}
	}
	if asJSON {
		return status(p.Met), writeJSON(c.out, p.Ways)
	}
	return status(p.Met), report.Ways(c.out, p, c.terminal)
}

// waysInReport is up to how many sensors a report has the ways out by itself, in some seconds; of more, ways tells them when asked.
const waysInReport = 16

// findWays adds the ways out to a plan. On a terminal each is told as it is found.
func (c *call) findWays(ctx context.Context, sc *scene.Scene, p *plan.Plan, memory *planner.Memory) (err error) {
	o := ways.Options{Memory: memory}
	if c.watched {
		o.Found = func(w plan.Way) { fmt.Fprintln(c.err, "found: "+report.WayLine(w, p.Schedule.BudgetUs)) }
	}
	p.Ways, err = ways.Find(ctx, sc, p, o)
	return err
}
