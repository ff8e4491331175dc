package instance

import "fmt"

// form is what a value of the whole problem's JSON may be. The table below is the only place that
// says so: the reader follows it, and the schema is made from it.
type form struct {
	kind   kind
	lo, hi int64    // range of a number, or of a list's length
	of     *form    // items of a list
	fields []field  // of an object
	enum   []string // of a text; none: any
	right  string   // what would be right, in words
}

type kind int

const (
	number kind = iota
	text
	list
	object
)

type field struct {
	key      string
	required bool
	form     form
	doc      string
}

func us(lo int64) form {
	return form{kind: number, lo: lo, hi: MaxUs, right: fmt.Sprintf("whole microseconds, %d to %d", lo, MaxUs)}
}

func amount(what string) form {
	return form{kind: number, lo: 1, hi: MaxAmount, right: fmt.Sprintf("%s is a whole number, 1 to %d", what, MaxAmount)}
}

func jobNumber() form {
	return form{kind: number, hi: MaxJobs - 1, right: "jobs are numbered from 0 in the order of jobs"}
}

func jobNumbers(lo, hi int64, right string) form {
	n := jobNumber()
	return form{kind: list, lo: lo, hi: hi, of: &n, right: right}
}

func listOf(f form, most int64, right string) form {
	return form{kind: list, hi: most, of: &f, right: right}
}

func name() form { return form{kind: text, right: "name is a text in quotes"} }

const styleRight = `style is "slots" or "staggered"`

// whole is the whole problem.
var whole = form{kind: object, right: "a problem is {\"jobs\":[…],\"arcs\":[…],…}", fields: []field{
	{"name", false, name(), "shown in the answer"},
	{"style", false, form{kind: text, enum: styles, right: styleRight}, "slots: groups of jobs fire together, one group after the other; staggered: each job at an offset of its own"},
	{"jobs", true, listOf(form{kind: object, right: `a job is {"open_us":…,"close_us":…,…}`, fields: []field{
		{"name", false, name(), "shown in proofs"},
		{"open_us", false, us(0), "deaf until then, after its own firing"},
		{"close_us", true, us(0), "listens until then; not before open_us"},
		{"busy_us", false, us(0), "its line is held until then; may end before close_us"},
		{"transfer_us", false, us(0), "how long its answer is fetched, after window and line"},
		{"rest_us", false, us(0), "from busy_us until it may fire again"},
		{"every_us", false, form{kind: number, lo: 1, hi: MaxUs, right: fmt.Sprintf("every_us is whole microseconds, 1 to %d; leave it out for once a cycle", MaxUs)}, "from one firing to the next at most so long, jitter of both at its worst; left out: once a cycle"},
	}}, MaxJobs, fmt.Sprintf("jobs is a list of at most %d", MaxJobs)), "each fires once a cycle, or as often as its every_us asks"},
	{"arcs", false, listOf(form{kind: object, right: `an arc is {"from":…,"to":…,"from_us":…,"until_us":…}`, fields: []field{
		{"from", true, jobNumber(), "whose sound it is"},
		{"to", true, jobNumber(), "who could take it for its own echo; may be the sender"},
		{"from_us", true, us(0), "arrives from then on, after the firing of from"},
		{"until_us", true, us(0), "arrives until then; not before from_us"},
	}}, MaxArcs, "arcs is a list of objects"), "sound that must miss the windows of other firings"},
	{"conflicts", false, listOf(jobNumbers(2, 2, "a pair [i,j] of job numbers"), MaxArcs, "conflicts is a list of pairs [i,j]"), "pairs that may never fire together; staggered: never be occupied at once"},
	{"together", false, listOf(jobNumbers(2, MaxJobs, "a list of two or more job numbers"), MaxJobs, "together is a list of lists"), "sets that must fire together"},
	{"order", false, listOf(jobNumbers(2, MaxJobs, "a list of two or more job numbers"), MaxJobs, "order is a list of lists"), "chains: each job in a later group of the cycle than the one before it; staggered: fires later"},
	{"resources", false, listOf(form{kind: object, right: `a resource is {"capacity":…,"uses":[…]}`, fields: []field{
		{"name", false, name(), "shown in messages"},
		{"capacity", true, amount("capacity"), "what may be in use at one moment"},
		{"uses", true, listOf(form{kind: object, right: `a use is {"job":…,"amount":…,"from_us":…,"until_us":…}`, fields: []field{
			{"job", true, jobNumber(), "who uses it"},
			{"amount", true, amount("amount"), "how much of it"},
			{"from_us", true, us(0), "from then on, after the job's firing"},
			{"until_us", true, us(1), "until then; after from_us. The job's group lasts at least so long"},
		}}, MaxArcs, "uses is a list of objects"), "uses add up where they overlap"},
	}}, MaxJobs, "resources is a list of objects"), "what jobs share"},
	{"at_once", false, form{kind: number, lo: 1, hi: MaxJobs, right: fmt.Sprintf("at_once is a whole number, 1 to %d; leave it out for any number", MaxJobs)}, "jobs that may be occupied at one moment"},
	{"guard_us", false, us(0), "silence between the end of a group's jobs and the next group; staggered: a job counts as occupied for so much longer"},
	{"jitter_us", false, us(0), "every firing may be off by so much, either way"},
	{"budget_us", false, form{kind: number, lo: 1, hi: MaxUs, right: fmt.Sprintf("budget_us is whole microseconds, 1 to %d; leave it out for none", MaxUs)}, "the longest cycle wished for"},
}}
