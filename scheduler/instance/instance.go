// Package instance is the scheduler's problem and its answer as plain data: jobs, silences and
// shared resources, in whole microseconds. It knows nothing of sound.
//
//	fires                 may take a foreign arrival
//	  |------- deaf -------|==== listening ====|
//	  0                  Open                Close      Busy
//	  |------------------------ at work ------------------|- Transfer -|
//	                                                      |-- Rest --|
//
// An Arc says that what job From sends can be taken by job To if it arrives while To listens:
// it arrives between FromUs and UntilUs after From fires. In a timetable of period T, with j
// firing d after i (d mod T: 0 when both fire together, and d + T, d + 2T … for sound older than a
// cycle; staggered, d − T too: the window of a listener that fired before), the arc i→j does no harm
// when UntilUs − d <= OpenUs of j or FromUs − d >= CloseUs of j. A job's own sound in its own window is its echo and
// no harm at d = 0.
//
// The package reads and writes two forms of JSON: the bare ones of windows and conflicts or of jobs and
// arcs (ReadBare, WriteBare) and the whole problem (Read, WriteWhole; Schema says what it may hold).
package instance

import "slices"

// Job is one sensor's reading. All times count from its own firing.
type Job struct {
	Name       string `json:"name,omitempty"`
	OpenUs     int64  `json:"open_us"`               // deaf until here
	CloseUs    int64  `json:"close_us"`              // listens until here; >= OpenUs
	BusyUs     int64  `json:"busy_us"`               // its line is held until here; may be less than CloseUs
	TransferUs int64  `json:"transfer_us,omitempty"` // then, after window and line, its answer is fetched and worked on
	RestUs     int64  `json:"rest_us,omitempty"`     // from BusyUs until it may fire again
	EveryUs    int64  `json:"every_us,omitempty"`    // from one firing to the next at most so long; 0: once a cycle
}

// LastsUs is how long the job itself occupies its slot.
func (j Job) LastsUs() int64 { return max(j.CloseUs, j.BusyUs) + j.TransferUs }

// Arc is a span after From's firing in which To could take From's sound for its own echo.
// Several arcs may join the same pair; From may equal To.
type Arc struct {
	From    int   `json:"from"`
	To      int   `json:"to"`
	FromUs  int64 `json:"from_us"`
	UntilUs int64 `json:"until_us"`
}

// Resource is something jobs share that gives out no more than Capacity at any moment: a driver
// that blocks the processor (capacity 1, in use for the whole reading), capture channels, a serial
// port (in use for the transfer), a bus that must be silent while a module ranges (ranging uses 1,
// a transfer all of it), current in mA.
type Resource struct {
	Name     string `json:"name,omitempty"`
	Capacity int64  `json:"capacity"`
	Uses     []Use  `json:"uses"`
}

// Use is what a job takes of a resource, from FromUs to UntilUs after its own firing. A job may use a
// resource several times; uses of one job add up where they overlap. A job occupies its slot
// until its last use is over.
type Use struct {
	Job     int   `json:"job"`
	Amount  int64 `json:"amount"`
	FromUs  int64 `json:"from_us"`
	UntilUs int64 `json:"until_us"`
}

// Style is how firings are spread over the cycle.
type Style int

// Slots: groups of jobs fire together, one group after the other. Staggered: every job has an offset of
// its own. Every slots timetable is a staggered one, too:
//
//   - jobs in conflict are never occupied at once, and AtOnce counts those that are occupied;
//   - the guard is the time by which a job counts as occupied for longer: towards those it conflicts with,
//     among those at once, and before it fires again itself. Uses of resources have no guard of their own:
//     jobs whose uses fit may overlap;
//   - a job of a chain fires after the one before it in the same cycle, jitter at its worst.
const (
	Slots Style = iota
	Staggered
)

// styles are their names, the default first.
var styles = []string{"slots", "staggered"}

func (s Style) String() string { return styles[s] }

// Problem is an array of jobs to be fired for ever, in the given style: once each per cycle, or where a job asks for a
// reading every so often, as many times as that takes. From one of its firings to the next, the cycle's end included and
// jitter of both at its worst, it is then no longer than EveryUs: the two are at most EveryUs − 2 JitterUs apart. Jobs
// that must fire together do so every time. A job of a chain fires once a cycle, as the chain is one of the cycle: its
// EveryUs bounds the cycle.
type Problem struct {
	Name      string
	Style     Style
	Jobs      []Job
	Arcs      []Arc
	Conflicts [][2]int // pairs that may never fire together (staggered: never be occupied at once), whatever the arcs say
	Together  [][]int  // sets of jobs that must fire together
	Order     [][]int  // chains: each job in a later group of the cycle than the one before it in the chain
	Resources []Resource
	AtOnce    int   // jobs that may be occupied at the same time; 0 means any number
	GuardUs   int64 // silence between the end of every job of a group and the next group; staggered: see Style
	JitterUs  int64 // each firing may be off by so much, either way, each by itself; arcs do not hold it
	BudgetUs  int64 // 0: none
}

// OccupiedUs is how long each job occupies its slot: its own time, and its uses of resources.
func (p Problem) OccupiedUs() []int64 {
	us := make([]int64, len(p.Jobs))
	for i, j := range p.Jobs {
		us[i] = j.LastsUs()
	}
	for _, r := range p.Resources {
		for _, u := range r.Uses {
			us[u.Job] = max(us[u.Job], u.UntilUs)
		}
	}
	return us
}

// Firing is one job's place in the cycle.
type Firing struct {
	Job  int
	AtUs int64
}

// Refreshes tells whether any job asks to fire every so often.
func (p Problem) Refreshes() bool {
	return slices.ContainsFunc(p.Jobs, func(j Job) bool { return j.EveryUs > 0 })
}

// Once is the problem without such demands: each job fires once a cycle.
func (p Problem) Once() Problem {
	p.Jobs = slices.Clone(p.Jobs)
	for j := range p.Jobs {
		p.Jobs[j].EveryUs = 0
	}
	return p
}

// Timetable is a cyclic answer: Firings repeat every CycleUs.
type Timetable struct {
	CycleUs      int64
	Firings      []Firing // by time, then job; a job may fire several times
	Groups       [][]int  // slots style: jobs fired together, in order of firing; each sorted. Staggered: none
	LowerBoundUs int64
	Proven       bool   // CycleUs is the least possible for this style
	Ordered      bool   // the order of the groups matters: late sound dies while those listen who do not mind
	Why          string // what makes the bound, in words a pencil can follow
	// Clique holds the jobs that must all take turns, when such a set makes the bound. Staggered: in the order
	// in which they take them soonest, each waiting only for what the one before it does to it.
	Clique []int
	Nodes  int64 // work done by the search, the same on every machine
}
