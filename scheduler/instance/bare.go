package instance

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
)

// MaxBytes is the longest bare instance that is read.
const MaxBytes = 32 << 20

// BadInput is what is wrong with a bare instance, where, and what would be right.
// Line and Col count from 1, Col in characters.
type BadInput struct {
	Line, Col    int
	Wrong, Right string
}

func (e *BadInput) Error() string {
	return fmt.Sprintf("%d:%d: %s; %s", e.Line, e.Col, e.Wrong, e.Right)
}

// ReadBare reads the instance that `solve` takes:
//
//	{"name":"…","windows_us":[…],"conflicts":[[i,j],…]}
//
// Job i listens for windows_us[i] from its own firing, and jobs i and j, counted from 0, may
// never share a group. name and conflicts may be left out, and a pair may be said twice; "style":"staggered"
// may be added. Anything else is refused with a *BadInput; a reader that fails gives its own error.
func ReadBare(r io.Reader) (Problem, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Problem{}, err
	}
	s, err := newScanner(data)
	if err != nil {
		return Problem{}, err
	}
	b := bare{scanner: s}
	if err := b.read(); err != nil {
		return Problem{}, err
	}
	return b.p, nil
}

// bare holds what has been read; pairs wait for the number of jobs, as keys come in any order.
type bare struct {
	*scanner
	p     Problem
	at    []int // byte offset of each conflict
	timed bool
}

func (b *bare) read() error {
	const whole = `an instance is {"name":"…","windows_us":[…],"conflicts":[[i,j],…]}`
	if err := b.open('{', whole); err != nil {
		return err
	}
	seen := map[string]bool{}
	for {
		tok, at, err := b.next(whole)
		if err != nil {
			return err
		}
		if tok == json.Delim('}') {
			break
		}
		key := tok.(string)
		if seen[key] {
			return b.bad(at, fmt.Sprintf("key %.40q a second time", key), "say each key once")
		}
		seen[key] = true
		if err := b.value(key, at); err != nil {
			return err
		}
	}
	if err := b.end(); err != nil {
		return err
	}
	if !b.timed {
		return b.bad(b.start, "no windows_us", whole)
	}
	return b.pairs()
}

func (b *bare) value(key string, at int) (err error) {
	switch key {
	case "name":
		b.p.Name, err = b.text("name is a text in quotes")
	case "windows_us":
		err = b.windows()
	case "conflicts":
		err = b.conflicts()
	case "style":
		err = b.style()
	case "jobs", "arcs":
		err = b.bad(at, fmt.Sprintf("key %q belongs to the whole form", key),
			"give windows_us and conflicts, or jobs and arcs without windows_us")
	default:
		err = b.bad(at, fmt.Sprintf("unknown key %.40q", key), "the keys are name, windows_us, conflicts; or jobs and those that solve --schema lists")
	}
	return err
}

func (b *bare) style() error {
	style, err := b.text(styleRight)
	if err != nil {
		return err
	}
	k := slices.Index(styles, style)
	if k < 0 {
		return b.bad(b.last, fmt.Sprintf("unknown style %.40q", style), styleRight)
	}
	b.p.Style = Style(k)
	return nil
}

func (b *bare) windows() error {
	const right = "windows_us is a list of whole microseconds, 1 to 1000000000000"
	b.timed = true
	if err := b.open('[', right); err != nil {
		return err
	}
	for {
		tok, at, err := b.next(right)
		if err != nil {
			return err
		}
		if tok == json.Delim(']') {
			return nil
		}
		us, ok := wholeNumber(tok)
		if !ok || us < 1 || us > MaxUs {
			return b.bad(at, "window "+b.quote(tok), right)
		}
		if len(b.p.Jobs) == MaxJobs {
			return b.bad(at, fmt.Sprintf("more than %d windows", MaxJobs), fmt.Sprintf("at most %d jobs", MaxJobs))
		}
		b.p.Jobs = append(b.p.Jobs, Job{CloseUs: us})
	}
}

func (b *bare) conflicts() error {
	const right = "conflicts is a list of pairs [i,j] of job numbers counted from 0"
	if err := b.open('[', right); err != nil {
		return err
	}
	for {
		tok, at, err := b.next(right)
		if err != nil {
			return err
		}
		if tok == json.Delim(']') {
			return nil
		}
		if tok != json.Delim('[') {
			return b.bad(at, b.quote(tok)+" where a pair is due", right)
		}
		var pair [2]int
		for k := range pair {
			tok, at, err := b.next(right)
			if err != nil {
				return err
			}
			i, ok := wholeNumber(tok)
			if !ok || i < 0 || i >= MaxJobs {
				return b.bad(at, "job number "+b.quote(tok), right)
			}
			pair[k] = int(i)
		}
		if tok, at, err := b.next(right); err != nil {
			return err
		} else if tok != json.Delim(']') {
			return b.bad(at, b.quote(tok)+" where the pair should end", right)
		}
		b.p.Conflicts, b.at = append(b.p.Conflicts, pair), append(b.at, at)
	}
}

func (b *bare) pairs() error {
	n := len(b.p.Jobs)
	for k, c := range b.p.Conflicts {
		if i := max(c[0], c[1]); i >= n {
			return b.bad(b.at[k], fmt.Sprintf("conflict with job %d, there are %d", i, n),
				"job numbers count from 0 in the order of windows_us")
		}
		if c[0] == c[1] {
			return b.bad(b.at[k], fmt.Sprintf("job %d in conflict with itself", c[0]), "a conflict joins two different jobs")
		}
	}
	return nil
}

func wholeNumber(tok json.Token) (int64, bool) {
	n, ok := tok.(json.Number)
	if !ok {
		return 0, false
	}
	v, err := strconv.ParseInt(string(n), 10, 64)
	return v, err == nil
}

// head is what every answer of `solve` begins with, in this order.
type head struct {
	Name         string `json:"name"`
	CycleUs      int64  `json:"cycle_us"`
	LowerBoundUs int64  `json:"lower_bound_us"`
	Proven       bool   `json:"proven"`
}

// slotsAnswer and staggeredAnswer are the forms that `solve` prints for bare instances.
type slotsAnswer struct {
	head
	Slots   [][]int `json:"slots"`
	Seconds float64 `json:"seconds"`
}

type staggeredAnswer struct {
	head
	StartsUs []int64 `json:"starts_us"` // by job
	Seconds  float64 `json:"seconds"`
}

// WriteBare writes the answer of `solve` as one line of JSON; seconds is what the caller measured.
func WriteBare(w io.Writer, p Problem, t Timetable, seconds float64) error {
	if p.Style == Staggered {
		return write(w, staggeredOf(p, t, seconds))
	}
	return write(w, slotsOf(p, t, seconds))
}

func headOf(p Problem, t Timetable) head { return head{p.Name, t.CycleUs, t.LowerBoundUs, t.Proven} }

func slotsOf(p Problem, t Timetable, seconds float64) slotsAnswer {
	a := slotsAnswer{headOf(p, t), t.Groups, seconds}
	if a.Slots == nil {
		a.Slots = [][]int{} // an empty list, where nil would print null
	}
	return a
}

func staggeredOf(p Problem, t Timetable, seconds float64) staggeredAnswer {
	return staggeredAnswer{headOf(p, t), startsOf(p, t), seconds}
}

// startsOf says when each job fires, the first time in the cycle.
func startsOf(p Problem, t Timetable) []int64 {
	us := make([]int64, len(p.Jobs))
	for _, f := range slices.Backward(t.Firings) {
		us[f.Job] = f.AtUs
	}
	return us
}

func write(w io.Writer, answer any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(answer)
}
