// Package instance is the scheduler's problem and its answer as plain data: jobs, silences and
// shared resources, in whole microseconds. It knows nothing of sound.
//
//	fires                 may take a foreign arrival
//	  |------- deaf -------|==== listening ====|
//	  0                  Open                Close      Busy
//	  |------------------------ occupied ----------------|-- Rest --|
//
// An Arc says that what job From sends can be taken by job To if it arrives while To listens:
// it arrives between FromUs and UntilUs after From fires.
package instance

// Job is one sensor's reading. All times count from its own firing.
type Job struct {
	Name    string `json:"name,omitempty"`
	OpenUs  int64  `json:"open_us"`  // deaf until here
	CloseUs int64  `json:"close_us"` // listens until here; >= OpenUs
	BusyUs  int64  `json:"busy_us"`  // occupied until here (line, transfer); may be less than CloseUs
	RestUs  int64  `json:"rest_us,omitempty"`
}

// LastsUs is how long the job itself occupies its slot.
func (j Job) LastsUs() int64 { return max(j.CloseUs, j.BusyUs) }

// Arc is a span after From's firing in which To could take From's sound for its own echo.
// Several arcs may join the same pair; From may equal To.
type Arc struct {
	From    int   `json:"from"`
	To      int   `json:"to"`
	FromUs  int64 `json:"from_us"`
	UntilUs int64 `json:"until_us"`
}

// Problem is an array of jobs to be fired once each per cycle, for ever.
type Problem struct {
	Name      string
	Jobs      []Job
	Arcs      []Arc
	Conflicts [][2]int // pairs that may never fire together, whatever the arcs say
	AtOnce    int      // jobs that may be occupied at the same time; 0 means any number
	GuardUs   int64    // silence after every group
	BudgetUs  int64    // 0: none
}

// Firing is one job's place in the cycle.
type Firing struct {
	Job  int
	AtUs int64
}

// Timetable is a cyclic answer: Firings repeat every CycleUs.
type Timetable struct {
	CycleUs      int64
	Firings      []Firing // by time, then job
	Groups       [][]int  // slots style: jobs fired together, in order of firing; each sorted
	LowerBoundUs int64
	Proven       bool   // CycleUs is the least possible for this style
	Why          string // what makes the bound, in words a pencil can follow
	Clique       []int  // jobs that must all take turns, when such a set makes the bound
}
