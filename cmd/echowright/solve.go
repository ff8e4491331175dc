package main

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"echowright/planner/diag"
	"echowright/planner/store"
	"echowright/scheduler"
	"echowright/scheduler/clash"
	"echowright/scheduler/instance"
)

// runSolve gives the scheduler an instance, bare or whole. An interrupt or the limit ends the search, not the
// answer: the best so far is printed with its bound and proven false. The limit counts from the call, reading included.
func runSolve(ctx context.Context, c *call) (int, error) {
	start := time.Now()
	limit := 60 * time.Second
	var schema bool
	words, err := c.parse(func(f *flag.FlagSet) {
		f.Func("limit", "longest time from start to answer", func(s string) (err error) {
			limit, err = duration(s)
			return err
		})
		f.BoolVar(&schema, "schema", false, "JSON Schema of a whole instance")
	}, 0, 1)
	if err != nil {
		return 0, err
	}
	if schema {
		_, err := c.out.Write(instance.Schema())
		return exitMet, err
	}
	if len(words) == 0 {
		return 0, usage("solve takes one instance; usage: echowright solve %s", c.command.args)
	}
	if limit <= 0 {
		return 0, usage("solve: --limit %s; give a time above 0, such as 60s", limit)
	}
	ctx, cancel := context.WithDeadline(ctx, start.Add(limit))
	defer cancel()
	shown, data, err := c.readUpTo(words[0], instance.MaxBytes)
	if err != nil {
		return 0, err
	}
	p, isBare, err := instance.Read(bytes.NewReader(data))
	var bad *instance.BadInput
	if errors.As(err, &bad) {
		return 0, diag.List{{File: shown, Line: bad.Line, Col: bad.Col, Wrong: bad.Wrong, Right: bad.Right}}
	} else if err != nil {
		return 0, err
	}
	if took := time.Since(start); took > limit {
		fmt.Fprintf(c.err, "echowright: reading took %.1f s of a limit of %s; the table is the first there is\n", took.Seconds(), limit)
	}
	o := scheduler.Options{Bare: isBare}
	if c.watched {
		o.Progress = func(cycle, atLeast, nodes int64) {
			fmt.Fprintf(c.err, "\r\x1b[Kbest %d us, at least %d us, %d nodes", cycle, atLeast, nodes)
		}
	}
	search := ctx
	if p.BudgetUs > 0 {
		var cancel context.CancelFunc
		search, cancel = context.WithDeadline(ctx, start.Add(limit-min(limit/5, clashTime)))
		defer cancel()
	}
	t, err := scheduler.Solve(search, p, o)
	if c.watched {
		fmt.Fprint(c.err, "\r\x1b[K")
	}
	var cannot *instance.Cannot
	var lost *scheduler.NotFound
	if errors.As(err, &lost) {
		fmt.Fprintf(c.err, "echowright: %s: %v; give longer every_us, or more time with --limit\n", shown, lost)
		return exitNotMet, nil
	}
	if errors.As(err, &cannot) && p.Refreshes() {
		at := instance.Place(data, cannot)
		return 0, diag.List{{File: shown, Line: at.Line, Col: at.Col, Wrong: at.Wrong, Right: "give every_us that the windows, and the turns of others, leave time for"}}
	}
	if errors.As(err, &cannot) {
		return 0, diag.List{{File: shown, Line: 1, Col: 1, Wrong: "cannot: " + cannot.Error(), Right: "give demands that some order can keep"}}
	} else if err != nil {
		return 0, err
	}
	if isBare {
		return exitMet, instance.WriteBare(c.out, p, t, time.Since(start).Seconds())
	}
	met := p.BudgetUs == 0 || t.CycleUs <= p.BudgetUs
	var because *instance.Clash
	if !met && ctx.Err() == nil {
		found, err := clash.Find(ctx, p, t, clash.Options{Nodes: clashNodes})
		if err != nil {
			return 0, err
		}
		because = said(found)
	}
	return status(met), instance.WriteWhole(c.out, p, t, time.Since(start).Seconds(), because)
}

// The most work for the reason why a budget cannot be met, and the most of the limit, a fifth where that is less, that is kept for it.
const (
	clashNodes = 100_000
	clashTime  = 2 * time.Second
)

// said is a clash as printed; nil where none was found.
func said(c clash.Clash) *instance.Clash {
	if len(c.Demands) == 0 {
		return nil
	}
	out := &instance.Clash{BoundUs: c.BoundUs, Smallest: c.Smallest, Text: c.Text}
	for _, d := range c.Demands {
		e := instance.Demand{Kind: string(d.Kind), Jobs: d.Jobs, Us: d.Us, Most: d.Most}
		if d.Kind == clash.Together || d.Kind == clash.Order || d.Kind == clash.Resource {
			e.Index = &d.Index
		}
		out.Demands = append(out.Demands, e)
	}
	return out
}

// duration reads a time with its unit.
func duration(s string) (time.Duration, error) {
	d, err := time.ParseDuration(s)
	if err == nil {
		return d, nil
	}
	if _, bare := time.ParseDuration(s + "s"); bare == nil {
		return 0, fmt.Errorf("a time without a unit; write %ss", s)
	}
	return 0, errors.New("not a time; write it like 5s or 2m")
}

// readUpTo is read with a limit of the caller's.
func (c *call) readUpTo(name string, limit int64) (shown string, data []byte, err error) {
	if name == "-" {
		shown = "standard input"
		data, err = store.ReadAll(c.in, limit)
	} else {
		shown = cmp.Or(name, "''")
		data, err = store.Read(name, limit)
	}
	if err != nil {
		return shown, nil, unreadable(shown, err)
	}
	return shown, data, nil
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(v)
}
