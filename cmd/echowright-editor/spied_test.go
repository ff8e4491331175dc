//go:build !js

package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/plan"
)

// spiedOn is the editor, answering the questions on its standard input inside its own loop.
type spiedOn struct {
	editor.Program
	asked chan string
}

func newSpied(dark bool) (editor.Program, func(), error) {
	p, end, err := newProgram(dark)
	if err != nil {
		return nil, nil, err
	}
	s := &spiedOn{p, make(chan string)}
	go func() {
		for lines := bufio.NewScanner(os.Stdin); lines.Scan(); {
			s.asked <- lines.Text()
		}
	}()
	return s, end, nil
}

func (s *spiedOn) Frame() (*canvas.Frame, bool) {
	f, fresh := s.Program.Frame()
	select {
	case line := <-s.asked:
		what, name, _ := strings.Cut(line, " ")
		fmt.Println(look(s.Program.(spied), f, what, name))
	default:
	}
	return f, fresh
}

// seen is what a test learns of an editor, in a window or a page.
type seen interface {
	// tell answers one of look's questions.
	tell(what, name string) string
	until(what string, true func() bool)
}

func (d *desk) tell(what, name string) string {
	d.t.Helper()
	if _, err := fmt.Fprintln(d.ask, what, name); err != nil {
		d.t.Fatal(err)
	}
	line, err := d.answers.ReadString('\n')
	if err != nil {
		d.t.Fatalf("%s %q: %v, %s", what, name, err, d.said.String())
	}
	return strings.TrimSpace(line)
}

func told[T any](t *testing.T, s seen, what, name string) (v T) {
	t.Helper()
	text := s.tell(what, name)
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatalf("%s %q: %q: %v", what, name, text, err)
	}
	return v
}

// at waits for something to be in the window and returns where, in points.
func at(t *testing.T, s seen, what, name string) (p canvas.Point) {
	t.Helper()
	s.until(what+" "+name, func() bool {
		q := told[*canvas.Point](t, s, what, name)
		if q != nil {
			p = *q
		}
		return q != nil
	})
	return p
}

// settled waits until all is reckoned and returns the verdicts as read.
func settled(t *testing.T, s seen) map[string]editor.Verdict {
	t.Helper()
	s.until("the reckoning", func() bool { return told[bool](t, s, "settled", "") })
	m := map[string]editor.Verdict{}
	for _, v := range told[[]editor.Verdict](t, s, "verdicts", "") {
		m[v.ID] = v
	}
	return m
}

// command is the command line, built once.
var command = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "echowright-command-")
	if err != nil {
		return "", err
	}
	atEnd = append(atEnd, func() { os.RemoveAll(dir) })
	name := filepath.Join(dir, "echowright")
	out, err := exec.Command("go", "build", "-o", name, "echowright/cmd/echowright").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("%w: %s", err, out)
	}
	return name, err
})

// agree compares the verdicts on the screen with what the command line reckons for a file.
func agree(t *testing.T, got map[string]editor.Verdict, file string) {
	t.Helper()
	name, err := command()
	if err != nil {
		t.Fatal(err)
	}
	var p plan.Plan
	out, _ := exec.Command(name, "plan", file, "--json").Output() // the status tells whether demands are met
	if err := json.Unmarshal(out, &p); err != nil || len(p.Sensors) == 0 {
		t.Fatalf("%s: %v: %.200q", file, err, out)
	}
	want := map[string]string{"cycle": plan.Milliseconds(p.Schedule.CycleUs)}
	pairs, own := p.DisturbedPairs()
	want["disturbance"] = fmt.Sprintf("%d of %d", pairs+own, len(p.Sensors)*len(p.Sensors))
	spare := map[string]float64{}
	least := func(id string, left float64, text string) {
		if s, ok := spare[id]; !ok || left < s {
			spare[id], want[id] = left, text
		}
	}
	for _, c := range p.Coverage {
		if c.Required.Share != nil && c.AreaM2 > 0 {
			least("seen", c.CoveredM2/c.AreaM2-*c.Required.Share, plan.Percent(c.CoveredM2, c.AreaM2, c.AreaErrorM2))
		}
		if c.Required.LargestGap != nil {
			least("blind", *c.Required.LargestGap-c.WidestGapM, "up to "+plan.Millimetres(c.WidestGapM))
		}
	}
	for id, text := range want {
		if got[id].Is != text {
			t.Errorf("%s: the screen says %q, the command line %q", id, got[id].Is, text)
		}
	}
	t.Logf("both say %v", want)
}
