package main

import (
	"context"
	"flag"
	"fmt"
	"strings"
	"time"

	"echowright/planner"
	"echowright/planner/plan"
	"echowright/planner/report"
)

// runMargins plans a layout and finds what breaks first and what a dead sensor takes away. The limit ends the reckoning, not the
// answer: what is done by then is told, with what is not.
func runMargins(ctx context.Context, c *call) (int, error) {
	limit := 60 * time.Second
	var asJSON bool
	var out string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.BoolVar(&asJSON, "json", false, "print the Plan with its margins")
		f.StringVar(&out, "out", "", "folder for report and exports")
		f.Func("limit", "longest time", func(s string) (err error) {
			limit, err = duration(s)
			return err
		})
	}, 1, 1)
	if err != nil {
		return 0, err
	}
	if limit <= 0 {
		return 0, usage("margins: --limit %s; give a time above 0, such as 60s", limit)
	}
	sc, err := c.load(words[0])
	if err != nil {
		return 0, err
	}
	p, err := planner.Analyse(ctx, sc, planner.Options{})
	if err != nil {
		return 0, err
	}
	within, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	if p.Margins, err = planner.Margins(within, sc, p); err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return 0, err
	}
	return status(p.Met), c.tellMargins(p, asJSON, out)
}

func (c *call) tellMargins(p *plan.Plan, asJSON bool, out string) error {
	var written []string
	if out != "" {
		var err error
		if written, err = writeAll(out, p); err != nil {
			return err
		}
	}
	if asJSON {
		return p.Write(c.out)
	}
	if err := report.Margins(c.out, p, c.terminal); err != nil {
		return err
	}
	if out != "" {
		fmt.Fprintf(c.out, "\nwritten to %s: %s\n", out, strings.Join(written, ", "))
	}
	return nil
}
