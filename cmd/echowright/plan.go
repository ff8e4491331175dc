package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"slices"
	"strings"

	"echowright/planner"
	"echowright/planner/export"
	header "echowright/planner/export/c"
	"echowright/planner/export/csv"
	"echowright/planner/plan"
	"echowright/planner/report"
	"echowright/planner/store"
	"echowright/scheduler/instance"
)

// analyse loads a layout and plans it; withWays, where the budget is missed, with the ways out.
func (c *call) analyse(ctx context.Context, file string, withWays bool) (*plan.Plan, error) {
	sc, err := c.load(file)
	if err != nil {
		return nil, err
	}
	var memory planner.Memory
	p, err := memory.Analyse(ctx, sc, planner.Options{})
	if err == nil && withWays && !p.Schedule.Met && len(sc.Sensors) <= waysInReport {
		err = c.findWays(ctx, sc, p, &memory)
	}
	if err == nil {
		err = ctx.Err() // an answer cut short by an interrupt is not the answer asked for
	}
	return p, err
}

func status(met bool) int {
	if met {
		return exitMet
	}
	return exitNotMet
}

func runPlan(ctx context.Context, c *call) (int, error) {
	var asJSON bool
	var out string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.BoolVar(&asJSON, "json", false, "print the Plan")
		f.StringVar(&out, "out", "", "folder for report and exports")
	}, 1, 1)
	if err != nil {
		return 0, err
	}
	p, err := c.analyse(ctx, words[0], out != "")
	if err != nil {
		return 0, err
	}
	var written []string
	if out != "" {
		if written, err = writeAll(out, p); err != nil {
			return 0, err
		}
	}
	if asJSON {
		return status(p.Met), p.Write(c.out)
	}
	if err := report.Summary(c.out, p, c.terminal); err != nil {
		return 0, err
	}
	if out != "" {
		fmt.Fprintf(c.out, "\nwritten to %s: %s\n", out, strings.Join(written, ", "))
	} else {
		fmt.Fprintf(c.out, "\ndetails: echowright plan --out build/ %s   (report, drawing, firing table)\n", words[0])
	}
	return status(p.Met), nil
}

// writeAll writes every export of a plan into a folder, all of them or none.
func writeAll(dir string, p *plan.Plan) (names []string, err error) {
	files, err := export.All(p)
	if err != nil {
		return nil, err
	}
	if err := store.WriteDir(dir, files); err != nil {
		return nil, inputError{fmt.Errorf("nothing was written: %w", err)}
	}
	return slices.Sorted(maps.Keys(files)), nil
}

func runCheck(ctx context.Context, c *call) (int, error) {
	words, err := c.parse(nil, 1, 1)
	if err != nil {
		return 0, err
	}
	p, err := c.analyse(ctx, words[0], false)
	if err != nil {
		return 0, err
	}
	return status(p.Met), report.Verdict(c.out, p, c.terminal)
}

func runExport(ctx context.Context, c *call) (int, error) {
	var as, to, table string
	words, err := c.parse(func(f *flag.FlagSet) {
		f.StringVar(&as, "as", "", "form")
		f.StringVar(&to, "to", "", "file")
		f.StringVar(&table, "table", csv.Tables[0], "table of csv")
	}, 1, 1)
	if err != nil {
		return 0, err
	}
	if !slices.Contains(export.Forms, as) {
		return 0, usage("export: no form '%s'; there are %s", as, strings.Join(export.Forms, ", "))
	}
	if !slices.Contains(csv.Tables, table) {
		return 0, usage("export: no table '%s'; there are %s", table, strings.Join(csv.Tables, ", "))
	}
	p, err := c.analyse(ctx, words[0], false)
	if err != nil {
		return 0, err
	}
	data, err := export.Encode(p, as, table)
	if errors.As(err, new(*header.Refusal)) {
		return 0, usage("export --as %s: %v", as, err)
	} else if err != nil {
		return 0, err
	}
	return status(p.Met), c.deliver(to, data)
}

func runSchedule(ctx context.Context, c *call) (int, error) {
	var asJSON, problem bool
	words, err := c.parse(func(f *flag.FlagSet) {
		f.BoolVar(&asJSON, "json", false, "print the schedule as JSON")
		f.BoolVar(&problem, "problem", false, "print the instance that solve takes")
	}, 1, 1)
	if err != nil {
		return 0, err
	}
	if asJSON && problem {
		return 0, usage("schedule takes --json or --problem, not both; --problem is what goes into solve")
	}
	if problem {
		return c.problem(ctx, words[0])
	}
	p, err := c.analyse(ctx, words[0], false)
	if err != nil {
		return 0, err
	}
	if asJSON {
		return status(p.Schedule.Met), writeJSON(c.out, p.Schedule)
	}
	return status(p.Schedule.Met), report.Firing(c.out, p, c.terminal)
}

// problem prints what the scheduler is asked for a layout.
func (c *call) problem(ctx context.Context, file string) (int, error) {
	sc, err := c.load(file)
	if err != nil {
		return 0, err
	}
	p, err := planner.Problem(ctx, sc)
	if err != nil {
		return 0, err
	}
	return exitMet, instance.WriteProblem(c.out, p)
}
