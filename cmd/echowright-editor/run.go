package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"

	"echowright/cmd/echowright-editor/devices"
	"echowright/cmd/echowright-editor/draw"
	"echowright/cmd/echowright-editor/serve"
	"echowright/planner/editor"
)

// The exit statuses are those of the echowright command.
const (
	exitDone  = 0
	exitInput = 2 // a mistake in the words of the call
	exitFault = 3 // the window cannot be opened, or a fault of this program
)

// streams are what the command talks to, and the program it shows.
type streams struct {
	out, err io.Writer
	program  func(dark bool) (p editor.Program, end func(), err error)
}

const use = `use: echowright-editor [FILE] [-scale N] [-dark|-light]
     echowright-editor -serve ADDRESS
`

// choices are what the words of the call ask for.
type choices struct {
	file  string
	scale float64
	dark  bool
	light bool
	serve string
}

func run(ctx context.Context, args []string, s streams) int {
	c, err := parse(args, s.out)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return exitDone
	case err != nil:
		fmt.Fprintf(s.err, "echowright-editor: %v\n%s", err, use)
		return exitInput
	}
	if c.serve != "" {
		err = serve.Run(ctx, c.serve, s.out)
		if bad := (serve.AddressError{}); errors.As(err, &bad) {
			fmt.Fprintf(s.err, "echowright-editor: %v\n", err)
			return exitInput
		}
	} else {
		err = show(ctx, c, s.program)
	}
	if err != nil {
		fmt.Fprintf(s.err, "echowright-editor: %v\n", err)
		return exitFault
	}
	return exitDone
}

func parse(args []string, help io.Writer) (choices, error) {
	c := choices{}
	fs := flag.NewFlagSet("echowright-editor", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.Float64Var(&c.scale, "scale", 0, "pixels a point, 0.5 to 4; without it the screen's own")
	fs.StringVar(&c.serve, "serve", "", "serve the editor to a browser on this machine, at an address such as 127.0.0.1:0")
	fs.BoolVar(&c.light, "light", false, "on light paper; without -light and -dark as it was last, at first light")
	fs.BoolVar(&c.dark, "dark", false, "on dark paper")
	var files []string
	for { // flags may stand before and after the file
		if err := fs.Parse(args); errors.Is(err, flag.ErrHelp) {
			fmt.Fprint(help, use)
			fs.SetOutput(help)
			fs.PrintDefaults()
			return c, err
		} else if err != nil {
			return c, err
		}
		if fs.NArg() == 0 {
			break
		}
		files, args = append(files, fs.Arg(0)), fs.Args()[1:]
	}
	set := map[string]bool{}
	fs.Visit(func(f *flag.Flag) { set[f.Name] = true })
	switch {
	case set["scale"] && !(c.scale >= 0.5 && c.scale <= 4):
		return c, fmt.Errorf("-scale %g: give pixels a point, 0.5 to 4", c.scale)
	case c.light && c.dark:
		return c, errors.New("-dark and -light: give one")
	case len(files) > 1:
		return c, fmt.Errorf("%d files: give one", len(files))
	case set["serve"] && c.serve == "":
		return c, errors.New("-serve: give an address such as 127.0.0.1:0")
	case set["serve"] && (len(files) > 0 || slices.ContainsFunc([]string{"scale", "dark", "light"}, func(n string) bool { return set[n] })):
		return c, errors.New("-serve: goes alone; the page opens its own files")
	}
	if len(files) == 1 {
		c.file = files[0]
	}
	return c, nil
}

// show opens the window and runs the program in it.
func show(ctx context.Context, c choices, program func(bool) (editor.Program, func(), error)) error {
	machine := &devices.Machine{}
	p, end, err := program(c.dark || !c.light && machine.Dark())
	if err != nil {
		return err
	}
	defer end()
	painter, err := draw.New()
	if err != nil {
		return err
	}
	w := &window{ctx: ctx, program: p, painter: painter, machine: machine, scale: c.scale, first: c.file}
	defer w.machine.Close()
	expose(w)
	return w.run()
}
