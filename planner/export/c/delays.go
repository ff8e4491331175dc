package c

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// perLine is how many delays stand on a line of the header.
const perLine = 16

// delays writes by how much each firing comes later in which cycle, and the threshold of the readings; nothing where there are none.
func (h *header) delays() {
	s := h.p.Schedule
	if s.Delays == nil || s.Delays.TableCycles == 0 {
		return
	}
	kind, most := "uint16_t", int64(0)
	ticks := make([][]int64, len(s.Firings))
	for i, f := range s.Firings {
		for _, us := range f.DelaysUs {
			ticks[i] = append(ticks[i], int64(math.Round(float64(us)/s.TickUs)))
		}
		most = max(most, slices.Max(ticks[i]))
	}
	if most > math.MaxUint16 {
		kind = "uint32_t"
	}
	h.line("/* Against ghosts that keep coming, %s: in cycle n, from 0, row i fires later by", comment(s.Delays.Way))
	h.line(" * echowright_delay_ticks[i][n %% ECHOWRIGHT_DELAY_CYCLES], and its window and busy time come later with it. The cycle's grid")
	h.line(" * stays. Drop a reading of a sensor that differs from its reading in the cycle before, dropped or not, by more than")
	h.line(" * ECHOWRIGHT_THRESHOLD_TICKS, there and back, and the first after a cycle without one. Count what is dropped, and take")
	h.line(" * a sensor that drops several in a row for blind.")
	h.line(" */")
	h.line("#define ECHOWRIGHT_DELAY_CYCLES %d", s.Delays.TableCycles)
	h.line("#define ECHOWRIGHT_THRESHOLD_TICKS UINT32_C(%d)", s.Delays.ThresholdTicks)
	h.line("ECHOWRIGHT_CONST %s echowright_delay_ticks[ECHOWRIGHT_FIRINGS][ECHOWRIGHT_DELAY_CYCLES] = {", kind)
	for i, row := range ticks {
		end := ","
		if i == len(ticks)-1 {
			end = ""
		}
		if len(row) <= perLine {
			h.line("\t{%s}%s /* %s */", numbers(row), end, comment(s.Firings[i].Sensor))
			continue
		}
		h.line("\t{ /* %s */", comment(s.Firings[i].Sensor))
		for from := 0; from < len(row); from += perLine {
			comma := ","
			if from+perLine >= len(row) {
				comma = ""
			}
			h.line("\t\t%s%s", numbers(row[from:min(len(row), from+perLine)]), comma)
		}
		h.line("\t}%s", end)
	}
	h.line("};")
	h.line("")
}

func numbers(row []int64) string {
	var list []string
	for _, n := range row {
		list = append(list, fmt.Sprint(n))
	}
	return strings.Join(list, ", ")
}

// delayChecks are what the compiler checks of the delays: the last window ends within the cycle after its firing, delay and all.
func (h *header) delayChecks(check func(name, condition string)) {
	s := h.p.Schedule
	if s.Delays == nil || s.Delays.TableCycles == 0 {
		return
	}
	check("threshold_known", "ECHOWRIGHT_THRESHOLD_TICKS > 0")
	for i, f := range s.Firings {
		most := int64(math.Round(float64(f.MostDelayUs()) / s.TickUs))
		check(fmt.Sprintf("delay_%d", i), fmt.Sprintf("UINT32_C(%d) + UINT32_C(%d) <= ECHOWRIGHT_CYCLE_TICKS", f.ListenUntilTicks-f.AtTicks, most))
	}
}
