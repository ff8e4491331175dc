package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"echowright/planner/diag"
)

// The exit statuses, the same for every command.
const (
	exitMet    = 0 // requirements met, or the work done
	exitNotMet = 1 // analysed, not met
	exitInput  = 2 // input or usage error; nothing written
	exitFault  = 3 // a fault of this program
)

// streams are the command's three streams; terminal and watched say whether out and err are terminals.
type streams struct {
	in       io.Reader
	out, err io.Writer
	terminal bool
	watched  bool
}

// command is one word after the program's name.
type command struct {
	name, args, does string
	run              func(ctx context.Context, c *call) (int, error)
}

func commands() []command {
	return []command{
		{"plan", "FILE [--json] [--out DIR]", "the whole job: a summary, the Plan as JSON, or report and exports in a folder", runPlan},
		{"check", "FILE", "the verdict only", runCheck},
		{"schedule", "FILE [--json | --problem]", "the firing table, or the problem behind it as solve takes it", runSchedule},
		{"margins", "FILE [--json] [--out DIR] [--limit 60s]", "what breaks first, and what is lost when one sensor fails", runMargins},
		{"ways", "FILE [--json] [--front FILE.svg]", "what would shorten the cycle, each reckoned through, and range against cycle", runWays},
		{"solve", "INSTANCE [--limit 60s] | --schema", "the scheduler on an instance, bare or whole", runSolve},
		{"export", "FILE --as svg|json|csv|html|c [--table NAME] [--to FILE]", "one export", runExport},
		{"kinds", "[NAME | compare A B … [--against wall,post-75,cloth]] [--layout FILE]", "kinds of module: list, one, or side by side", runKinds},
		{"new", "[DEMO] | --length 0.7m --width 0.5m [--corner 0.1m] [--speed 0.9m/s] [--to FILE]", "a layout to start from", runNew},
		{"format", "[--schema]", "the layout file written down", runFormat},
	}
}

// later are commands that other programs may already call and that do not work yet.
var later = map[string]string{
	"place":    "suggesting mounts",
	"simulate": "echoes in time",
	"bench":    "measured logs",
}

// usageError is a mistake in the words of the call.
type usageError struct{ text string }

func (e usageError) Error() string { return e.text }

func usage(format string, args ...any) error { return usageError{fmt.Sprintf(format, args...)} }

// outcome is what a command came to.
type outcome struct {
	status int
	out    string
	err    error
	fault  string // of a panic; "" when there was none
}

// patience is how long an interrupted command may take to end by itself. A search still gives its best so far, and of the
// largest instances that has to be checked and written down first, on whatever machine; a second interrupt does not wait.
func (c command) patience() time.Duration {
	if c.name == "solve" {
		return time.Minute
	}
	return 2 * time.Second
}

// run carries out one call and returns its exit status. Output is buffered: on an error nothing of it is shown.
func run(ctx context.Context, args []string, s streams) int {
	if len(args) == 0 || args[0] == "help" || args[0] == "--help" || args[0] == "-h" {
		help(s.out)
		return exitMet
	}
	i := slices.IndexFunc(commands(), func(c command) bool { return c.name == args[0] })
	if i < 0 {
		if what, ok := later[args[0]]; ok {
			return complain(s.err, usage("'%s' (%s) is known but does not work yet; the commands that do: %s", args[0], what, names()))
		}
		return complain(s.err, usage("no command '%s'; there are %s", args[0], names()))
	}
	done := make(chan outcome, 1)
	go func() { done <- attempt(ctx, commands()[i], args[1:], s) }()
	var o outcome
	select {
	case o = <-done:
	case <-ctx.Done():
		select {
		case o = <-done:
		case <-time.After(commands()[i].patience()):
			o.err = context.Canceled
		}
	}
	return o.show(s)
}

// attempt runs a command with its output kept back, and keeps a panic indoors.
func attempt(ctx context.Context, cmd command, args []string, s streams) (o outcome) {
	defer func() {
		if r := recover(); r != nil {
			o = outcome{fault: fmt.Sprintf("%v (%s)", r, faultPlace(debug.Stack()))}
		}
	}()
	var out strings.Builder
	s.out = &out
	o.status, o.err = cmd.run(ctx, &call{command: cmd, args: args, streams: s})
	o.out = out.String()
	return o
}

// show prints an outcome and returns the exit status.
func (o outcome) show(s streams) int {
	switch {
	case o.fault != "":
		fmt.Fprintf(s.err, "echowright: a fault of this program: %s\n", o.fault)
		return exitFault
	case o.err != nil:
		return complain(s.err, o.err)
	}
	if _, err := io.WriteString(s.out, o.out); err != nil {
		fmt.Fprintf(s.err, "echowright: the output was cut short: %v\n", err)
		return exitInput
	}
	return o.status
}

// faultPlace finds in a stack the line of ours that panicked.
func faultPlace(stack []byte) string {
	_, below, _ := strings.Cut(string(stack), "\npanic(")
	for line := range strings.Lines(below) {
		if at, isPlace := strings.CutPrefix(line, "\t"); isPlace && !strings.Contains(at, "/runtime/") {
			at, _, _ = strings.Cut(at, " ")
			return at[strings.LastIndex(at, "/")+1:]
		}
	}
	return "place unknown"
}

// complain prints an error in the form its kind asks for and returns the exit status.
func complain(w io.Writer, err error) int {
	var list diag.List
	var u usageError
	switch {
	case errors.As(err, &list):
		for _, d := range list {
			fmt.Fprintln(w, d)
		}
		return exitInput
	case errors.Is(err, flag.ErrHelp):
		return exitMet
	case errors.As(err, &u), errors.As(err, new(inputError)):
		fmt.Fprintf(w, "echowright: %v\n", err)
		return exitInput
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(w, "echowright: interrupted; nothing was written")
		return exitInput
	}
	fmt.Fprintf(w, "echowright: a fault of this program: %v\n", err)
	return exitFault
}

func names() string {
	var n []string
	for _, c := range commands() {
		n = append(n, c.name)
	}
	return strings.Join(n, ", ")
}

func help(w io.Writer) {
	fmt.Fprint(w, "echowright plans arrays of ultrasonic ranging sensors.\n\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "  echowright %-8s %s\n             %s\n", c.name, c.args, c.does)
	}
	fmt.Fprint(w, `
FILE may be - for standard input. Messages go to standard error as FILE:LINE:COL: what is wrong; what would be right.
Exit status: 0 requirements met, 1 analysed but not met, 2 input or usage error (nothing written), 3 internal fault.
This is not a safety device: keep the machine's own stops and a person's eyes in charge.
`)
}

// call is one command with its arguments.
type call struct {
	command
	streams
	args []string
}

// parse reads flags wherever they stand among the arguments and returns the plain words. It wants
// between least and most of them.
func (c *call) parse(define func(f *flag.FlagSet), least, most int) ([]string, error) {
	f := flag.NewFlagSet(c.name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	if define != nil {
		define(f)
	}
	var words []string
	rest := c.args
	for {
		if err := f.Parse(rest); errors.Is(err, flag.ErrHelp) {
			fmt.Fprintf(c.err, "echowright %s %s\n%s\n", c.name, c.command.args, c.does)
			return nil, err
		} else if err != nil {
			return nil, usage("%s: %v; usage: echowright %s %s", c.name, err, c.name, c.command.args)
		}
		if f.NArg() == 0 {
			break
		}
		words = append(words, f.Arg(0))
		rest = f.Args()[1:]
	}
	if len(words) < least || len(words) > most {
		return nil, usage("%s takes %s; usage: echowright %s %s", c.name, wordCount(least, most), c.name, c.command.args)
	}
	return words, nil
}

func wordCount(least, most int) string {
	switch {
	case least == most && least == 1:
		return "one file"
	case least == most:
		return fmt.Sprintf("%d words", least)
	}
	return fmt.Sprintf("%d to %d words", least, most)
}
