// Package c writes the firing table of a Plan as one C99 header that a firmware includes: constants and
// a table, units in every name, the plan's hash and the format's version, and checks that the compiler
// makes. It allocates nothing, defines no function and needs no library but the language's own integers.
//
// In: a plan.Plan. Out: ASCII text. Names from the layout appear in comments and as upper-case
// identifiers only; what C cannot hold is replaced.
package c

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"math"
	"strings"

	"echowright/planner/plan"
)

// Format is the version of the header's own names and their meaning.
const Format = 1

// maxTicks keeps every difference of two times below half of a 32-bit counter, so that wrapped unsigned
// subtraction stays right.
const maxTicks = math.MaxInt32

// Refusal says why a plan has no table that a firmware could keep.
type Refusal struct{ Why string }

func (r *Refusal) Error() string { return r.Why }

// Write writes the header. A plan without a table to keep, or with times that do not fit 31 bits of ticks, is a *Refusal.
func Write(w io.Writer, p *plan.Plan) error {
	s := p.Schedule
	if len(s.Firings) == 0 {
		return &Refusal{"the plan has no firing table to export"}
	}
	if s.Style == plan.AsRead {
		return &Refusal{"an as-read firmware keeps no table; ask for style slots to export one"}
	}
	if s.RunsUs() > math.MaxUint32 || s.TickUs*1000 > math.MaxUint32 {
		return &Refusal{"a cycle or a tick longer than 32 bits of the header can say"}
	}
	if s.CycleTicks > maxTicks {
		return &Refusal{fmt.Sprintf("a cycle of %d ticks does not fit 31 bits; give the controller a coarser tick", s.CycleTicks)}
	}
	hash, err := planHash(p)
	if err != nil {
		return err
	}
	h := &header{p: p, names: identifiers(p)}
	h.head(hash)
	h.constants(hash)
	h.table()
	h.delays()
	h.checks()
	h.line("#endif /* ECHOWRIGHT_FIRING_H */")
	_, err = w.Write(h.b.Bytes())
	return err
}

// planHash is the SHA-256 of the plan's JSON: what the firmware prints and the bench log carries.
func planHash(p *plan.Plan) ([]byte, error) {
	var b bytes.Buffer
	if err := p.Write(&b); err != nil {
		return nil, err
	}
	sum := sha256.Sum256(b.Bytes())
	return sum[:], nil
}

type header struct {
	p     *plan.Plan
	names map[string]string // identifier of each sensor
	b     bytes.Buffer
}

func (h *header) line(format string, args ...any) { fmt.Fprintf(&h.b, format+"\n", args...) }

func (h *header) head(hash []byte) {
	h.line("/* Firing table: %s", comment(h.p.Layout))
	h.line(" *")
	for _, c := range plan.Cautions {
		h.line(" * %s.", comment(c))
	}
	h.line(" *")
	h.line(" * Plan %x, cycle %d us planned, %s us in whole ticks.", hash[:8], h.p.Schedule.CycleUs, trimmed(h.p.Schedule.RealisedCycleUs))
	h.line(" * All times count from the start of the cycle, in ticks of %s us. Fire at fire_ticks; an echo counts", trimmed(h.p.Schedule.TickUs))
	h.line(" * from listen_from_ticks until listen_until_ticks; the module's line is free at busy_until_ticks.")
	if !h.p.Met {
		h.line(" * What was asked is NOT all met: see the plan before you build on this table.")
	}
	for _, r := range h.p.Schedule.Refresh {
		often := "once a cycle"
		if r.Times > 1 {
			often = fmt.Sprintf("%d times a cycle, in as many rows", r.Times)
		}
		missed := ""
		if !r.Met {
			missed = ": NOT MET"
		}
		h.line(" * %s fires %s, again within %d us; asked %d us%s.", comment(r.Sensor), often, r.KeptUs, r.AskedUs, missed)
	}
	if last := h.latest(); last > h.p.Schedule.CycleTicks {
		h.line(" * Times beyond the cycle's %d ticks lie in the cycle after it.", h.p.Schedule.CycleTicks)
	}
	h.line(" * Keep firings on the cycle's grid: a late one eats its guard, the next ones stay where they are.")
	for _, f := range h.p.Schedule.Firings {
		if f.StartedBy != "" {
			h.line(" * Do not fire %s: %s starts it by their chain, as soon as it is done; its fire_ticks is the latest.", comment(f.Sensor), comment(f.StartedBy))
		}
	}
	h.line(" */")
	h.line("#ifndef ECHOWRIGHT_FIRING_H")
	h.line("#define ECHOWRIGHT_FIRING_H")
	h.line("")
	h.line("#include <limits.h>")
	h.line("#include <stdint.h>")
	h.line("")
}

// latest is the last time in the table, ticks.
func (h *header) latest() (last int64) {
	for _, f := range h.p.Schedule.Firings {
		last = max(last, f.ListenUntilTicks, f.BusyUntilTicks)
	}
	return last
}

func (h *header) constants(hash []byte) {
	s := h.p.Schedule
	h.line("#define ECHOWRIGHT_FORMAT %d", Format)
	h.line(`#define ECHOWRIGHT_PLAN_SHA256 "%x"`, hash)
	h.line("#define ECHOWRIGHT_PLAN_HASH UINT32_C(0x%x)", hash[:4])
	h.line("#define ECHOWRIGHT_TICK_NS UINT32_C(%d)", int64(math.Round(s.TickUs*1000)))
	h.line("#define ECHOWRIGHT_CYCLE_US UINT32_C(%d)", s.RunsUs())
	h.line("#define ECHOWRIGHT_CYCLE_TICKS UINT32_C(%d)", s.CycleTicks)
	h.line("#define ECHOWRIGHT_SENSORS %d", len(h.p.Sensors))
	h.line("#define ECHOWRIGHT_GROUPS %d", len(s.Groups))
	h.line("#define ECHOWRIGHT_FIRINGS %d", len(s.Firings))
	h.line("")
	for i, sensor := range h.p.Sensors {
		note := ""
		if !h.p.Scheduled(sensor.Name) {
			note = ": fires by itself, no row in the table"
		}
		h.line("#define ECHOWRIGHT_SENSOR_%s %d /* %s%s */", h.names[sensor.Name], i, comment(sensor.Name), note)
	}
	h.line("")
}

func (h *header) table() {
	h.line("typedef struct {")
	for _, f := range []string{"fire_ticks", "listen_from_ticks", "listen_until_ticks", "busy_until_ticks"} {
		h.line("\tuint32_t %s;", f)
	}
	h.line("\tuint16_t sensor; /* one of ECHOWRIGHT_SENSOR_... */")
	h.line("\tuint16_t group;  /* from 1; one group fires together */")
	h.line("} echowright_firing;")
	h.line("")
	h.line("/* A target that keeps constants elsewhere than in RAM can define this before including. */")
	h.line("#ifndef ECHOWRIGHT_CONST")
	h.line("#define ECHOWRIGHT_CONST static const")
	h.line("#endif")
	h.line("")
	h.line("ECHOWRIGHT_CONST echowright_firing echowright_firings[ECHOWRIGHT_FIRINGS] = {")
	for i, f := range h.p.Schedule.Firings {
		comma := ","
		if i == len(h.p.Schedule.Firings)-1 {
			comma = ""
		}
		h.line("\t{UINT32_C(%d), UINT32_C(%d), UINT32_C(%d), UINT32_C(%d), ECHOWRIGHT_SENSOR_%s, %d}%s",
			f.AtTicks, f.ListenFromTicks, f.ListenUntilTicks, f.BusyUntilTicks, h.names[f.Sensor], f.Group, comma)
	}
	h.line("};")
	h.line("")
}

// checks are arrays of negative size where a condition fails: C99 has no static assertion of its own.
func (h *header) checks() {
	s := h.p.Schedule
	check := func(name, condition string) {
		h.line("typedef char echowright_check_%s[(%s) ? 1 : -1];", name, condition)
	}
	check("bytes_of_8_bits", "CHAR_BIT == 8")
	check("one_row_a_firing", "sizeof(echowright_firings) / sizeof(echowright_firings[0]) == ECHOWRIGHT_FIRINGS")
	check("sensors_fit", "ECHOWRIGHT_SENSORS <= UINT16_MAX")
	check("cycle_fits_a_wrapping_counter", "ECHOWRIGHT_CYCLE_TICKS <= UINT32_C(0x7fffffff)")
	check("tick_known", "ECHOWRIGHT_TICK_NS > 0")
	h.delayChecks(check)
	for i, f := range s.Firings {
		from := int64(0) // a group is over when the cycle is; a window of its own time may end in the next
		if s.Style == plan.Staggered {
			from = f.AtTicks
		}
		check(fmt.Sprintf("window_%d", i), fmt.Sprintf("UINT32_C(%d) < UINT32_C(%d) && UINT32_C(%d) - UINT32_C(%d) <= ECHOWRIGHT_CYCLE_TICKS", f.ListenFromTicks, f.ListenUntilTicks, f.ListenUntilTicks, from))
		if i > 0 {
			check(fmt.Sprintf("rising_%d", i), fmt.Sprintf("UINT32_C(%d) <= UINT32_C(%d)", s.Firings[i-1].AtTicks, f.AtTicks))
		}
	}
	h.line("")
}

// identifiers gives every sensor an upper-case identifier of its own.
func identifiers(p *plan.Plan) map[string]string {
	out, taken := map[string]string{}, map[string]bool{}
	for _, s := range p.Sensors {
		base := identifier(s.Name)
		name := base
		for n := 2; taken[name]; n++ {
			name = fmt.Sprintf("%s_%d", base, n)
		}
		taken[name] = true
		out[s.Name] = name
	}
	return out
}

// identifier keeps letters and digits of ASCII, at most 40 of them, and joins the rest to single underscores.
func identifier(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToUpper(s) {
		if r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			if gap && b.Len() > 0 {
				b.WriteByte('_')
			}
			gap = false
			b.WriteRune(r)
		} else {
			gap = true
		}
		if b.Len() >= 40 {
			break
		}
	}
	if b.Len() == 0 {
		return "UNNAMED"
	}
	return b.String()
}

// comment makes a name safe inside a C comment: printable ASCII, no comment marks, no trigraphs, no line end.
func comment(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '*' || r == '/' || r == '\\' || r == '?':
			b.WriteByte('_')
		case r < ' ' || r > '~':
			b.WriteByte('_')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func trimmed(x float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.6f", x), "0"), ".")
}
