package resolve

import (
	"fmt"
	"strconv"
	"sync"
	"time"

	"echowright/planner/layout"
	"echowright/planner/quantity"
	"echowright/planner/scene"
)

// blank is a layout with every group of optional values written and left empty: what the format's defaults
// are read from where a file leaves a whole group out.
var blank = sync.OnceValue(func() layout.Entry {
	const text = `echowright: 1
air: {}
around: {}
controller: {}
wishes: {}
tolerance: {}
kinds: {any: {beam: {}, timing: {}, supply: {}}}
body: {outline: {rectangle: [1 m, 1 m], height: 0..1 m}}
sensors: [{name: any, kind: any, at: {from: front}, height: 1 m}]
zones: [{name: any, swept: {way: forward, reach: 1 m}, target: any}]
`
	doc, list := layout.Parse("", []byte(text))
	if doc == nil {
		panic("resolve: the blank layout is not valid: " + list.Error())
	}
	return doc.Root()
})

// group returns the map under a key, or the blank one where the file leaves it out.
func group(e layout.Entry, key string) layout.Entry {
	if got, ok := e.Get(key); ok {
		return got
	}
	got, _ := blank().Get(key)
	return got
}

// value returns what stands under a key of a map, or the format's default for it, which is then named
// among the assumptions.
func (r *resolver) value(e layout.Entry, key string) layout.Entry {
	got := e.Value(key)
	if !got.Exists() { // refused already: only a layout begun goes on from here
		return e.Default(key)
	}
	if got.Assumed() {
		r.note(got.Path(), "no "+key+" given: "+words(got)+" assumed", false)
	}
	return got
}

// words writes a value as a file would.
func words(e layout.Entry) string {
	if t := e.Text(); t != "" {
		return t
	}
	switch e.Form() {
	case layout.Whole:
		return strconv.Itoa(e.Int())
	case layout.OfMany:
		some, all := e.Span()
		return fmt.Sprintf("%.0f of %.0f", some, all)
	case layout.Flag:
		return strconv.FormatBool(e.Bool())
	}
	lo, hi := e.Span()
	s := quantity.Format(e.Unit(), lo)
	if hi != lo {
		s = quantity.FormatSpan(e.Unit(), lo, hi)
	}
	if w := e.Word(); w != "" {
		s += " " + w
	}
	return s
}

func span(e layout.Entry) scene.Span {
	lo, hi := e.Span()
	return scene.Span{Lo: lo, Hi: hi}
}

// seconds turns a time in seconds into a duration, to the nearest nanosecond.
func seconds(s float64) time.Duration {
	if s < 0 {
		return -seconds(-s)
	}
	return time.Duration(s*1e9 + 0.5)
}

// optional returns the number under a key, or 0 when it is not written.
func optional(e layout.Entry, key string) float64 {
	got, _ := e.Get(key)
	return got.Num()
}

// optionalTime is optional for a time.
func optionalTime(e layout.Entry, key string) time.Duration { return seconds(optional(e, key)) }

// onlyIn returns the names under only-in; none means all states.
func onlyIn(e layout.Entry) []string {
	got, _ := e.Get("only-in")
	var out []string
	for _, it := range got.List() {
		out = append(out, it.Text())
	}
	return out
}
