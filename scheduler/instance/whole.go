package instance

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Read reads a problem in either form, and tells whether it was a bare one: windows and conflicts, or
//
//	{"name":"…","style":"staggered","jobs":[{"open_us","close_us","busy_us"}],"arcs":[{"from","to","from_us","until_us"}]}
//
// with nothing else in it. What is wrong with it is a *BadInput, contradictions between demands (Cannot)
// included; a reader that fails gives its own error.
func Read(r io.Reader) (p Problem, isBare bool, err error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Problem{}, false, err
	}
	isBare = bareKeys(data)
	if isBare {
		p, err := ReadBare(bytes.NewReader(data))
		return p, true, err
	}
	p, v, err := readWhole(data)
	return p, p.Style == Staggered && v.onlyJobsAndArcs(), err
}

// onlyJobsAndArcs tells the bare staggered form.
func (v value) onlyJobsAndArcs() bool {
	bare := func(v value, keys ...string) bool {
		return !slices.ContainsFunc(v.fields, func(f named) bool { return !slices.Contains(keys, f.key) })
	}
	return bare(v, "name", "style", "jobs", "arcs") &&
		!slices.ContainsFunc(v.field("jobs").items, func(j value) bool { return !bare(j, "open_us", "close_us", "busy_us") })
}

// bareKeys tells from the keys, or from what there is of them, which form a text is of.
func bareKeys(data []byte) bool {
	jobs, windows := bytes.Contains(data, []byte(`"jobs"`)), bytes.Contains(data, []byte(`"windows_us"`))
	if (!jobs || !windows) && bytes.IndexByte(data, '\\') < 0 {
		return !jobs
	}
	// Both words are there, one perhaps only as a name; or one may be written with escapes.
	var keys struct {
		Windows json.RawMessage `json:"windows_us"`
		Jobs    json.RawMessage `json:"jobs"`
	}
	if err := json.Unmarshal(bytes.TrimPrefix(data, []byte("\ufeff")), &keys); err != nil {
		return !jobs || windows // it will be refused; the words of which form say best why?
	}
	return keys.Jobs == nil || keys.Windows != nil
}

// value is what was read, with its place.
type value struct {
	at     int
	num    int64
	text   string
	items  []value
	fields []named
}

// named is a field of an object.
type named struct {
	key string
	value
}

// field is the field of that name, or nothing.
func (v value) field(key string) value {
	for _, f := range v.fields {
		if f.key == key {
			return f.value
		}
	}
	return value{}
}

func readWhole(data []byte) (Problem, value, error) {
	s, err := newScanner(data)
	if err != nil {
		return Problem{}, value{}, err
	}
	v, err := s.value(whole)
	if err != nil {
		return Problem{}, value{}, err
	}
	if err := s.end(); err != nil {
		return Problem{}, value{}, err
	}
	p := v.problem()
	if err := p.Validate(); err != nil {
		return Problem{}, value{}, s.placed(v, err)
	}
	if err := p.Possible(); err != nil {
		return Problem{}, value{}, s.placed(v, err)
	}
	return p, v, nil
}

// value reads one value of the form.
func (s *scanner) value(f form) (value, error) {
	tok, at, err := s.next(f.right)
	if err != nil {
		return value{}, err
	}
	return s.from(f, tok, at)
}

// from reads on from the first token of a value.
func (s *scanner) from(f form, tok json.Token, at int) (value, error) {
	v := value{at: at}
	ok := false
	switch f.kind {
	case number:
		v.num, ok = wholeNumber(tok)
		ok = ok && v.num >= f.lo && v.num <= f.hi
	case text:
		v.text, ok = tok.(string)
		ok = ok && (f.enum == nil || slices.Contains(f.enum, v.text))
	case list:
		if ok = tok == json.Delim('['); ok {
			return s.items(f, v)
		}
	case object:
		if ok = tok == json.Delim('{'); ok {
			return s.fields(f, v)
		}
	}
	if !ok {
		return v, s.bad(at, s.quote(tok)+" does not do here", f.right)
	}
	return v, nil
}

func (s *scanner) items(f form, v value) (value, error) {
	for {
		tok, at, err := s.next(f.right)
		if err != nil {
			return v, err
		}
		if tok == json.Delim(']') {
			if int64(len(v.items)) < f.lo {
				return v, s.bad(v.at, fmt.Sprintf("a list of %d", len(v.items)), f.right)
			}
			return v, nil
		}
		if int64(len(v.items)) == f.hi {
			return v, s.bad(at, fmt.Sprintf("more than %d in this list", f.hi), f.right)
		}
		item, err := s.from(*f.of, tok, at)
		if err != nil {
			return v, err
		}
		v.items = append(v.items, item)
	}
}

func (s *scanner) fields(f form, v value) (value, error) {
	v.fields = make([]named, 0, f.needed())
	for {
		tok, at, err := s.next(f.right)
		if err != nil {
			return v, err
		}
		if tok == json.Delim('}') {
			break
		}
		key := tok.(string)
		k := slices.IndexFunc(f.fields, func(g field) bool { return g.key == key })
		if k < 0 {
			return v, s.bad(at, fmt.Sprintf("unknown key %.40q", key), "the keys here are "+f.keys())
		}
		if v.has(key) {
			return v, s.bad(at, fmt.Sprintf("key %q a second time", key), "say each key once")
		}
		item, err := s.value(f.fields[k].form)
		if err != nil {
			return v, err
		}
		v.fields = append(v.fields, named{f.fields[k].key, item})
	}
	for _, g := range f.fields {
		if g.required && !v.has(g.key) {
			return v, s.bad(v.at, "no "+g.key, f.right)
		}
	}
	return v, nil
}

func (v *value) has(key string) bool {
	return slices.ContainsFunc(v.fields, func(f named) bool { return f.key == key })
}

// needed is how many fields an object has at the least.
func (f form) needed() (n int) {
	for _, g := range f.fields {
		if g.required {
			n++
		}
	}
	return n
}

func (f form) keys() string {
	var ks []string
	for _, g := range f.fields {
		ks = append(ks, g.key)
	}
	return strings.Join(ks, ", ")
}

func (v value) us(key string) int64 { return v.field(key).num }

func (v value) problem() Problem {
	p := Problem{Name: v.field("name").text, Style: Style(max(0, slices.Index(styles, v.field("style").text))), AtOnce: int(v.us("at_once")), GuardUs: v.us("guard_us"),
		JitterUs: v.us("jitter_us"), BudgetUs: v.us("budget_us")}
	for _, j := range v.field("jobs").items {
		p.Jobs = append(p.Jobs, Job{Name: j.field("name").text, OpenUs: j.us("open_us"), CloseUs: j.us("close_us"),
			BusyUs: j.us("busy_us"), TransferUs: j.us("transfer_us"), RestUs: j.us("rest_us"), EveryUs: j.us("every_us")})
	}
	for _, a := range v.field("arcs").items {
		p.Arcs = append(p.Arcs, Arc{int(a.us("from")), int(a.us("to")), a.us("from_us"), a.us("until_us")})
	}
	for _, c := range v.field("conflicts").items {
		p.Conflicts = append(p.Conflicts, [2]int{int(c.items[0].num), int(c.items[1].num)})
	}
	p.Together, p.Order = v.field("together").lists(), v.field("order").lists()
	for _, r := range v.field("resources").items {
		res := Resource{Name: r.field("name").text, Capacity: r.us("capacity")}
		for _, u := range r.field("uses").items {
			res.Uses = append(res.Uses, Use{int(u.us("job")), u.us("amount"), u.us("from_us"), u.us("until_us")})
		}
		p.Resources = append(p.Resources, res)
	}
	return p
}

func (v value) lists() (out [][]int) {
	for _, l := range v.items {
		var jobs []int
		for _, j := range l.items {
			jobs = append(jobs, int(j.num))
		}
		out = append(out, jobs)
	}
	return out
}

// lists names the list of the problem that a fault's place counts in, and what would be right.
var lists = map[string][2]string{
	"job":      {"jobs", "windows open before they close, and a job takes some time"},
	"arc":      {"arcs", "an arc joins two jobs there are and ends no earlier than it begins"},
	"conflict": {"conflicts", "a conflict joins two different jobs there are"},
	"together": {"together", "a set of different jobs that nothing keeps apart"},
	"order":    {"order", "a chain of different jobs that no other demand turns round"},
	"resource": {"resources", "a capacity that every job, and every set that fires together, can do with"},
	"use":      {"uses", "a use by a job there is, for some time"},
}

// Place is a contradiction between demands with its place in the text of a whole problem, which has been read before.
func Place(data []byte, c *Cannot) *BadInput {
	bad := &BadInput{1, 1, c.Where + ": cannot be done: " + c.Wrong, whole.right}
	if s, err := newScanner(data); err == nil {
		if v, err := s.value(whole); err == nil {
			errors.As(s.placed(v, c), &bad)
		}
	}
	return bad
}

// placed gives a fault of the problem its place in the text.
func (s *scanner) placed(v value, err error) error {
	var where, wrong string
	var f *Fault
	var c *Cannot
	switch {
	case errors.As(err, &f):
		where, wrong = f.Where, f.Wrong
	case errors.As(err, &c):
		where, wrong = c.Where, "cannot be done: "+c.Wrong
	}
	right := whole.right
	words := strings.Fields(where)
	for k := 0; k+1 < len(words); k += 2 {
		var i int
		if l, ok := lists[words[k]]; ok {
			if _, err := fmt.Sscan(words[k+1], &i); err == nil && i < len(v.field(l[0]).items) {
				v, right = v.field(l[0]).items[i], l[1]
			}
		}
	}
	return s.bad(v.at, where+": "+wrong, right)
}

// tail is what the answer to a whole problem ends with.
type tail struct {
	BudgetUs int64    `json:"budget_us,omitempty"`
	Met      bool     `json:"met"`
	Why      []string `json:"why"`
	*Clash
}

// Demand is one of those that clash; jobs count from 0.
type Demand struct {
	Kind  string `json:"kind"`
	Jobs  []int  `json:"jobs,omitempty"`
	Index *int   `json:"index,omitempty"` // in the problem's list of that kind
	Us    int64  `json:"us,omitempty"`
	Most  int64  `json:"most,omitempty"`
}

// Clash is why a budget cannot be met: demands that do not go together.
type Clash struct {
	Demands  []Demand `json:"clash"`
	BoundUs  int64    `json:"clash_bound_us"`
	Smallest bool     `json:"clash_smallest"`
	Text     string   `json:"clash_text"`
}

// WriteWhole writes the answer to a whole problem as one line of JSON: what WriteBare writes, when each
// job fires, whether the budget is met, the proof line by line, and why a budget cannot be met, where that is known.
func WriteWhole(w io.Writer, p Problem, t Timetable, seconds float64, because *Clash) error {
	end := tail{p.BudgetUs, p.BudgetUs == 0 || t.CycleUs <= p.BudgetUs, strings.Split(t.Why, "\n"), because}
	var often *refresh
	if p.Refreshes() {
		often = refreshOf(p, t)
	}
	if p.Style == Staggered {
		return write(w, struct {
			staggeredAnswer
			*refresh
			tail
		}{staggeredOf(p, t, seconds), often, end})
	}
	return write(w, struct {
		slotsAnswer
		StartsUs []int64 `json:"starts_us"` // by job
		*refresh
		tail
	}{slotsOf(p, t, seconds), startsOf(p, t), often, end})
}

// WriteProblem writes a problem in the whole form, as Read takes it.
func WriteProblem(w io.Writer, p Problem) error {
	jobs := p.Jobs
	if jobs == nil {
		jobs = []Job{} // an empty list, where nil would print null
	}
	return write(w, struct {
		Name      string     `json:"name,omitempty"`
		Style     string     `json:"style"`
		Jobs      []Job      `json:"jobs"`
		Arcs      []Arc      `json:"arcs,omitempty"`
		Conflicts [][2]int   `json:"conflicts,omitempty"`
		Together  [][]int    `json:"together,omitempty"`
		Order     [][]int    `json:"order,omitempty"`
		Resources []Resource `json:"resources,omitempty"`
		AtOnce    int        `json:"at_once,omitempty"`
		GuardUs   int64      `json:"guard_us,omitempty"`
		JitterUs  int64      `json:"jitter_us,omitempty"`
		BudgetUs  int64      `json:"budget_us,omitempty"`
	}{p.Name, p.Style.String(), jobs, p.Arcs, p.Conflicts, p.Together, p.Order, p.Resources, p.AtOnce, p.GuardUs, p.JitterUs, p.BudgetUs})
}
