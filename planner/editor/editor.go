package editor

import (
	"slices"
	"time"

	"echowright/geometry"
	"echowright/planner"
	"echowright/planner/diag"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/editor/live"
	"echowright/planner/editor/undo"
	"echowright/planner/editor/view"
	"echowright/planner/editor/widget"
	"echowright/planner/layout"
	"echowright/planner/plan"
	"echowright/planner/scene"
)

// Config is what an editor is given.
type Config struct {
	Ruler    canvas.Ruler
	Analysis Analysis
	Kinds    []byte // the built-in kinds of module and targets
	Samples  []Sample
	// Exports makes all files of a plan, by name.
	Exports func(*plan.Plan) (map[string][]byte, error)
	Apple   bool // keys are shown as on a Mac
	Dark    bool
}

// Analysis answers questions beside the editor; live.Runner is one.
type Analysis interface {
	Ask(live.Question)
	Take() []live.Answer
}

// Sample is a layout to start from.
type Sample struct {
	Name string
	Data []byte
}

// Editor is the whole editor.
type Editor struct {
	cfg   Config
	board *widget.Board

	// The document.
	file string // where it lies; empty while it has no place yet
	log  *undo.Log[string]
	doc  *layout.Document

	// What is known of it.
	number   int       // of the last question asked
	drafted  diag.List // what is wrong or missing in the text alone
	faults   diag.List
	missing  []string
	read     known[*scene.Scene]
	outline  *geometry.Outline // of the scene read
	seen     known[*plan.Plan] // coverage
	whole    known[*plan.Plan] // and the firing plan
	shown    *plan.Plan        // both put together
	plates   []Verdict         // of what is shown
	beams    planner.Beams     // to look at
	lookedAt []plan.Lobe       // those beams, of what is seen; nil for those that decide
	drawn    *plan.Plan        // what is shown, with them
	harmed   disturbances      // of the firing plan
	broken   string            // why there is no plan

	// What hands are doing.
	tool       Tool
	chosen     []string // sensors, the last chosen first
	thing      view.Thing
	over       view.Thing
	gesture    gesture
	pulled     pulled // the last step of the drag under way
	moved      map[string]view.Pose
	keptTo     string
	measure    [2][2]float64
	probe      *[2]float64
	snaps      Snaps
	tried      *trial
	asked      asked              // beside the plan
	wrong      map[string]mistake // typed values that were refused, by field
	at         canvas.Point       // of the pointer
	alt        bool
	mountWith  mounts
	chooseNext string // the entry to choose when it is read
	ruling     view.Ruling
	grips      view.Handles

	// What the screen shows.
	size     canvas.Point
	cam      view.Camera
	fitted   bool
	shownIn  canvas.Rect // the room the camera was last set for; zero when there was none
	looks    view.Looks
	dark     bool
	panel    panel // the value sheet
	dialog   dialog
	met      dialog // the dialog the board has met
	drawer   bool   // the sheet lies over the drawing, in a narrow window
	playing  bool
	mark     time.Duration // in the cycle
	now      time.Duration
	tickedAt time.Duration
	said     string
	saidTill time.Duration
	stale    bool // the frame
	frame    *canvas.Frame
	items    []widget.Item
	cache    view.Cache
	photo    *photo
	photos   int // laid so far

	wishes         []Wish
	afterSave      func() // what waits for the work to be saved
	keptAt         time.Duration
	kept           string   // the text kept aside
	recents        []string // layouts opened or saved last
	lost           bool     // the open file is no longer on the disk
	loose          bool     // the file was dropped on the window: its folder is not known
	onDiskBefore   string   // what was found on the disk when it was asked about last
	kinds          []kindCard
	builtInTargets []string
	kindsDoc       *layout.Document
}

// known is an answer and the question it answers.
type known[T any] struct {
	number int
	value  T
}

// mistake is a typed value that was refused.
type mistake struct{ text, why string }

// Tool is what a press on the drawing does.
type Tool int

// The tools.
const (
	Choosing Tool = iota
	Mounting
	Zoning
	Probing
	Measuring
	Scaling // of a photo underneath
)

// history is how many changes can be undone: of a large file fewer, so that they take no more than some 64 MiB.
func history(text string) int { return min(1000, max(20, 64<<20/max(1, len(text)))) }

// New makes an editor that asks what moves.
func New(cfg Config) *Editor {
	e := &Editor{
		cfg: cfg, board: widget.New(cfg.Ruler), dark: cfg.Dark, snaps: AllSnaps, size: canvas.Point{1280, 800}, stale: true,
		wrong: map[string]mistake{},
		looks: view.Looks{Lobes: true, Blind: true, Paths: true, Grid: true, Zones: true, Stops: true},
	}
	e.board.Size = e.size
	e.readKinds()
	e.start("", nil)
	e.dialog = newStart()
	e.wish(Wish{Kind: Kept})
	e.wish(Wish{Kind: Recents})
	return e
}

// Load opens a text under a name, which is where Save writes; empty when it has no place yet.
func (e *Editor) Load(file string, data []byte) {
	e.start(file, data)
	e.dialog = nil
	e.adopt(false)
}

// start begins a document, without a question about it.
func (e *Editor) start(file string, data []byte) {
	e.file, e.lost, e.loose, e.onDiskBefore = file, false, false, ""
	e.log = undo.New(string(data), history(string(data)))
	e.doc, e.faults, e.missing, e.broken = nil, nil, nil, ""
	e.read, e.seen, e.whole, e.shown, e.outline = known[*scene.Scene]{}, known[*plan.Plan]{}, known[*plan.Plan]{}, nil, nil
	e.harmed = disturbances{}
	e.beams, e.lookedAt, e.drawn = planner.Beams{}, nil, nil
	e.chosen, e.thing, e.gesture, e.moved, e.probe = nil, view.Thing{}, nil, nil, nil
	e.fitted, e.playing, e.mark, e.kept = false, false, 0, string(data)
	e.mountWith = mounts{mirror: true}
	e.tool, e.tried, e.afterSave = Choosing, nil, nil
	e.putAway()
	e.looks.Measured = false
	e.fromElsewhere()
	e.stale = true
}

// fromElsewhere forgets what was typed or refused: the values are now those of another text.
func (e *Editor) fromElsewhere() {
	clear(e.wrong)
	e.board.Forget()
}

// adopt takes the text that is now the document and asks about it.
func (e *Editor) adopt(dragging bool) {
	text := []byte(e.log.Now())
	e.doc, e.drafted = layout.Draft(e.name(), text)
	e.ask(text, dragging)
}

// adoptAs is adopt of a text that was read already, under the name the document has now.
func (e *Editor) adoptAs(doc *layout.Document, drafted diag.List, dragging bool) {
	e.doc, e.drafted = doc, drafted
	e.ask(doc.Bytes(), dragging)
}

func (e *Editor) ask(text []byte, dragging bool) {
	e.number++
	e.pulled = pulled{}
	e.dropSearch()
	e.cfg.Analysis.Ask(live.Question{Number: e.number, File: e.name(), Text: text, Dragging: dragging, Beams: e.beams})
	e.stale = true
}

// name is how messages call the document.
func (e *Editor) name() string {
	if e.file == "" {
		return words.untitled
	}
	return e.file
}

// Text is the document as it stands.
func (e *Editor) Text() string { return e.log.Now() }

// How a change goes into the log.
const (
	atOnce = false
	drag   = true
)

// change makes one change of the document from base. One that cannot be placed is said, and nothing is changed.
func (e *Editor) change(name string, dragging bool, base *layout.Document, edits ...layout.Edit) bool {
	if base == nil || len(edits) == 0 {
		return false
	}
	if dragging && e.pulled.same(base, edits) { // a hand between two steps of what it drags
		e.stale = true
		return true
	}
	doc, drafted, err := base.Change(edits...)
	if err != nil {
		e.say(err.Error())
		return false
	}
	text := string(doc.Bytes())
	e.log.Most(history(text))
	if dragging {
		e.log.Drag(name, text)
	} else {
		e.log.Do(name, text)
	}
	if doc.File() != e.name() {
		e.adopt(dragging)
	} else {
		e.adoptAs(doc, drafted, dragging)
	}
	if dragging {
		e.pulled = pulled{base, edits}
	}
	return true
}

// pulled is a step of a drag: the document it began with and the edits made of it.
type pulled struct {
	base  *layout.Document
	edits []layout.Edit
}

func (p pulled) same(base *layout.Document, edits []layout.Edit) bool {
	return p.base == base && slices.Equal(p.edits, edits)
}

// endDrag ends a gesture's entry in the log and asks for all there is to know.
func (e *Editor) endDrag() {
	e.log.Close()
	e.keptTo = ""
	e.adopt(false)
}

func (e *Editor) undo() {
	if name := e.log.Undo(); name != "" {
		e.fromElsewhere()
		e.say(words.undone(name))
		e.moved = nil
		e.adopt(false)
	}
}

func (e *Editor) redo() {
	if name := e.log.Redo(); name != "" {
		e.fromElsewhere()
		e.say(words.redone(name))
		e.moved = nil
		e.adopt(false)
	}
}

// take reads what the analysis found.
func (e *Editor) take() {
	for _, a := range e.cfg.Analysis.Take() {
		e.stale = true
		if a.Stage >= live.Found {
			e.hear(a)
			continue
		}
		if a.Err != nil {
			if a.Number == e.number {
				e.broken = a.Err.Error()
			}
			continue
		}
		switch a.Stage {
		case live.Read:
			e.learn(a)
			continue
		case live.Seen:
			e.seen = known[*plan.Plan]{a.Number, a.Plan}
			e.lookedAt = a.Beams
			if a.Number == e.number && !e.dragging() {
				e.moved = nil
			}
		default:
			e.whole = known[*plan.Plan]{a.Number, a.Plan}
			e.harmed = disturbances{a.Plan, a.Pairs, a.Own}
			if a.Number >= e.seen.number {
				e.seen = e.whole
			}
		}
		e.show()
	}
}

func (e *Editor) learn(a live.Answer) {
	if a.Number == e.number {
		e.faults, e.missing, e.broken = a.Faults, a.Missing, ""
	}
	if a.Scene == nil {
		return
	}
	e.read = known[*scene.Scene]{a.Number, a.Scene}
	e.outline, _ = geometry.NewOutline(a.Scene.Body.Outline)
	if e.chooseNext != "" && a.Number == e.number && e.firstOf(e.chooseNext).Name != "" {
		e.chosen, e.thing = []string{e.firstOf(e.chooseNext).Name}, view.Thing{}
		e.chooseNext = ""
	}
	if a.Number != e.number {
		return
	}
	e.chosen = slices.DeleteFunc(e.chosen, func(name string) bool { return sensorNamed(a.Scene, name).Name == "" })
}

// show puts what is seen and the firing plan together, the latter maybe of before the last change.
func (e *Editor) show() {
	if e.seen.value == nil {
		e.shown, e.drawn = nil, nil
		return
	}
	p := *e.seen.value
	if w := e.whole.value; w != nil && e.seen.value != w {
		p.Schedule, p.Crosstalk, p.Warnings, p.Ready = w.Schedule, w.Crosstalk, w.Warnings, w.Ready
	}
	p.Schedule = p.Schedule.Ticked()
	e.shown, e.drawn = &p, &p
	if e.lookedAt != nil {
		other := p
		other.Lobes, other.Overlaps = e.lookedAt, nil
		e.drawn = &other
	}
	if cycle := millis(p.Schedule.CycleUs); cycle > 0 { // it may have become shorter
		e.mark %= cycle
	}
	e.plates = verdicts(e.shown, e.harmed)
	if !e.fitted {
		e.fit()
	}
}

// scheduled reports whether the firing plan shown is that of the document as it stands.
func (e *Editor) scheduled() bool { return e.whole.value != nil && e.whole.number == e.number }

func (e *Editor) dragging() bool { return e.gesture != nil }

// sensors are those of the scene last read.
func (e *Editor) sensors() []scene.Sensor {
	if e.read.value == nil {
		return nil
	}
	return e.read.value.Sensors
}

func (e *Editor) wish(w Wish) { e.wishes = append(e.wishes, w) }

// Wishes returns what is asked of the machine since the last call.
func (e *Editor) Wishes() []Wish {
	w := e.wishes
	e.wishes = nil
	return w
}

// Dark reports whether the screen is dark.
func (e *Editor) Dark() bool { return e.dark }

// Title is the window's.
func (e *Editor) Title() string {
	mark := ""
	if e.log.Dirty() {
		mark = "• "
	}
	return mark + shownName(e.name()) + " – Echowright"
}

// Busy asks for Ticks.
func (e *Editor) Busy() bool {
	return e.playing || e.asked.busy || e.board.Busy() || e.number > 0 && e.waiting() || e.saidTill > e.now || e.log.Now() != e.kept
}

// waiting reports whether an answer about the document is due.
func (e *Editor) waiting() bool {
	return e.broken == "" && len(e.faults) == 0 && e.read.number < e.number || e.read.number == e.number && e.whole.number < e.number && e.broken == ""
}

// say shows a sentence for some seconds.
func (e *Editor) say(text string) {
	e.said, e.saidTill, e.stale = text, e.now+max(saidFor, time.Duration(len(text))*readLetter), true
}

// saidFor is for how long a sentence stands; a long one stands for as long as it takes to read.
const (
	saidFor    = 5 * time.Second
	readLetter = 70 * time.Millisecond // common practice, no source
)

// choose makes a sensor the only one chosen.
func (e *Editor) choose(name string) { e.chosen, e.thing, e.stale = []string{name}, view.Thing{}, true }

// Handle takes one event.
func (e *Editor) Handle(ev input.Event) {
	e.now = max(e.now, ev.Now)
	if ev.Kind == input.Resize {
		e.resize(ev.Size)
	}
	e.take()
	if ev.Kind == input.Tick {
		e.tick(ev)
	}
	if e.onPicture(ev) {
		e.hands(ev)
		return
	}
	if e.gesture == nil || ev.Kind == input.Tick {
		if d, ok := e.dialog.(*pathDialog); ok && d.key(e, ev) {
			return
		}
		acts, taken := e.board.Handle(ev, e.screen())
		for _, a := range acts {
			e.act(a)
		}
		if len(acts) > 0 {
			e.stale = true
		}
		if taken {
			return
		}
	}
	e.hands(ev)
}

// onPicture reports whether a press is for a picture that lies on a panel of the board: the cycle or the side view.
func (e *Editor) onPicture(ev input.Event) bool {
	if ev.Kind != input.Press || e.dialog != nil || e.board.Open() != "" {
		return false
	}
	at := e.places()
	return at.cycle.Holds(ev.At) && !at.play.Holds(ev.At) || at.side.Holds(ev.At) && e.sheetShown()
}

// screen is the items as they stand.
func (e *Editor) screen() []widget.Item {
	if e.stale || e.items == nil {
		e.items = e.build()
	}
	return e.items
}

// settle gives the keys to a dialog that opened since the last call.
func (e *Editor) settle() {
	if e.dialog == e.met {
		return
	}
	e.met = e.dialog
	for _, a := range e.board.Settle(e.screen()) {
		e.act(a)
	}
}

// Frame is the picture now.
func (e *Editor) Frame() (*canvas.Frame, bool) {
	e.take()
	e.settle()
	if e.frame != nil && !e.stale && !e.board.Changed() {
		return e.frame, false
	}
	e.frame = e.paint()
	e.stale = false
	return e.frame, true
}
