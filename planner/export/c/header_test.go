package c

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// strict are the warnings a careful firmware build turns on, all of them errors.
var strict = strings.Fields("-Wall -Wextra -Wpedantic -Werror -Wconversion -Wsign-conversion -Wshadow -Wundef")

// compile builds a program that includes the header and returns what it prints.
func compile(t *testing.T, p *plan.Plan, program string) (string, error) {
	t.Helper()
	dir := t.TempDir()
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string]string{"firing.h": b.String(), "main.c": program} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(data), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	exe := filepath.Join(dir, "main")
	args := append([]string{"-std=c99", "-O1", "-o", exe, filepath.Join(dir, "main.c")}, strict...)
	if out, err := exec.Command("cc", args...).CombinedOutput(); err != nil {
		return string(out), err
	}
	out, err := exec.Command(exe).Output()
	return string(out), err
}

const printer = `#include <inttypes.h>
#include <stdio.h>
#include "firing.h"
int main(void) {
	int i;
	printf("%d %" PRIu32 " %" PRIu32 "\n", ECHOWRIGHT_FIRINGS, ECHOWRIGHT_CYCLE_TICKS, ECHOWRIGHT_TICK_NS);
	for (i = 0; i < ECHOWRIGHT_FIRINGS; i++) {
		const echowright_firing *f = &echowright_firings[i];
		printf("%u %u %" PRIu32 " %" PRIu32 " %" PRIu32 " %" PRIu32 "\n", (unsigned)f->sensor, (unsigned)f->group,
			f->fire_ticks, f->listen_from_ticks, f->listen_until_ticks, f->busy_until_ticks);
	}
	return 0;
}
`

// The header, compiled with all warnings as errors and run on the host, must give the Plan's table back.
func TestCompiledTableIsThePlans(t *testing.T) {
	p := plantest.Small()
	got, err := compile(t, p, printer)
	if err != nil {
		t.Fatalf("%v\n%s", err, got)
	}
	s := p.Schedule
	want := fmt.Sprintf("%d %d %.0f\n", len(s.Firings), s.CycleTicks, s.TickUs*1000)
	for _, f := range s.Firings {
		sensor := 0
		for i, c := range p.Sensors {
			if c.Name == f.Sensor {
				sensor = i
			}
		}
		want += fmt.Sprintf("%d %d %d %d %d %d\n", sensor, f.Group, f.AtTicks, f.ListenFromTicks, f.ListenUntilTicks, f.BusyUntilTicks)
	}
	if got != want {
		t.Errorf("compiled table:\n%swant:\n%s", got, want)
	}
}

// A plan that is not met says so in its header, and how often sensors fire, whatever they are called.
func TestHeaderSaysWhatIsNotMet(t *testing.T) {
	p := plantest.Small()
	p.Met = false
	p.Schedule.Refresh = []plan.Refresh{
		{Sensor: "*/ int x; /*", Times: 3, AskedUs: 80_000, KeptUs: 79_900, Met: true},
		{Sensor: "b", Times: 1, AskedUs: 50_000, KeptUs: 60_000},
	}
	if out, err := compile(t, p, printer); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"NOT all met", "fires 3 times a cycle, in as many rows, again within 79900 us; asked 80000 us.", "b fires once a cycle, again within 60000 us; asked 50000 us: NOT MET."} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}

// A staggered window may end in the next cycle; no firmware build may trip over that.
func TestWindowsMayCrossTheCyclesEnd(t *testing.T) {
	p := plantest.Small()
	s := &p.Schedule
	s.Style = plan.Staggered
	last := &s.Firings[len(s.Firings)-1]
	s.CycleTicks = last.ListenUntilTicks - 1
	if out, err := compile(t, p, printer); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
	last.ListenUntilTicks = last.AtTicks + s.CycleTicks + 1
	if out, err := compile(t, p, printer); err == nil {
		t.Errorf("a window longer than the cycle passes:\n%s", out)
	}
}

// The compiler itself must refuse a table that was damaged.
func TestCompilerRefusesDamage(t *testing.T) {
	for name, damage := range map[string]func(*plan.Plan){
		"a window that ends before it starts": func(p *plan.Plan) { p.Schedule.Firings[0].ListenUntilTicks = p.Schedule.Firings[0].ListenFromTicks },
		"a window past the cycle's end":       func(p *plan.Plan) { p.Schedule.Firings[1].ListenUntilTicks = p.Schedule.CycleTicks + 1 },
		"firings out of order":                func(p *plan.Plan) { p.Schedule.Firings[0].AtTicks = p.Schedule.Firings[1].AtTicks + 1 },
	} {
		p := plantest.Small()
		damage(p)
		out, err := compile(t, p, printer)
		if err == nil || !strings.Contains(out, "echowright_check_") {
			t.Errorf("%s: compiled, or failed otherwise: %v %s", name, err, out)
		}
	}
}

// The header must also pass as C++ for those who include it from there.
func TestHeaderIsCxxToo(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("c++", append([]string{"-std=c++11", "-fsyntax-only", "-x", "c++", "-"}, strict...)...)
	cmd.Stdin = &b
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

func TestRefusesWhatDoesNotFit(t *testing.T) {
	p := plantest.Small()
	p.Schedule.CycleTicks = 1 << 31
	if err := Write(&bytes.Buffer{}, p); err == nil {
		t.Error("a cycle of 2^31 ticks was written")
	}
	p = plantest.Small()
	p.Schedule.Style = plan.AsRead
	if err := Write(&bytes.Buffer{}, p); err == nil {
		t.Error("a plan that keeps no table was written")
	}
	if err := Write(&bytes.Buffer{}, &plan.Plan{}); err == nil {
		t.Error("a plan without firings was written")
	}
}

func TestIdentifiersAreUniqueAndPlain(t *testing.T) {
	p := &plan.Plan{}
	for _, n := range []string{"bow.1", "bow 1", "bow-1", "ä", "ö", "", "*/ x", strings.Repeat("long", 50)} {
		p.Sensors = append(p.Sensors, plan.Sensor{Name: n})
	}
	seen := map[string]bool{}
	for name, id := range identifiers(p) {
		if seen[id] || len(id) > 44 || strings.Trim(id, "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_") != "" {
			t.Errorf("%q became %q", name, id)
		}
		seen[id] = true
	}
	if got := comment("a */ b \\\n ??/ é"); strings.ContainsAny(got, "*/\\?\n") || len(got) != len([]rune("a */ b \\\n ??/ é")) {
		t.Errorf("comment: %q", got)
	}
}

// What the controller does not fire is said, and the table's own check of C holds.
func TestHeaderSaysWhatNotToFire(t *testing.T) {
	p := plantest.Small()
	p.Sensors = append(p.Sensors, plan.Sensor{Name: "own"})
	p.Schedule.Firings[1].StartedBy = p.Schedule.Firings[0].Sensor
	var b bytes.Buffer
	if err := Write(&b, p); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"/* own: fires by itself, no row in the table */", " * Do not fire b: "} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("lacks %q:\n%s", want, b.String())
		}
	}
	if out, err := compile(t, p, "#include \"firing.h\"\nint main(void) { return echowright_firings[0].fire_ticks != 0; }\n"); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
