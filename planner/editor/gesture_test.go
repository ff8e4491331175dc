package editor_test

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"math"
	"strings"
	"testing"

	"echowright/assets"
	"echowright/planner"
	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/editor/input"
	"echowright/planner/plan"
)

// byCommand is the plan the command line makes of a text.
func byCommand(t *testing.T, text string) *plan.Plan {
	t.Helper()
	sc, faults := planner.Load("layout.yaml", []byte(text), assets.Kinds())
	if sc == nil {
		t.Fatal(faults)
	}
	p, err := planner.Analyse(context.Background(), sc, planner.Options{Quick: true})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestDragMovesAlongTheOutline(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	d.key("Plus", "Plus")
	at, _ := d.Sensor("side.left")
	from := d.Where(at)
	to := d.Where([2]float64{at[0] - 0.081, at[1] + 0.02}) // pulled off the outline a little
	d.drag(from, to)
	gone, come := diff(before, d.Text())
	if len(gone) != 1 || len(come) != 1 || !strings.Contains(come[0], "at: {from: left, forward: 60 mm}") {
		t.Fatalf("gone %q\ncome %q", gone, come)
	}
	// The verdicts are those of the command line for the same text.
	p := byCommand(t, d.Text())
	for _, v := range d.Verdicts() {
		if v.ID == "cycle" && v.Is != plan.Milliseconds(p.Schedule.CycleUs) {
			t.Errorf("cycle %s, by command %s", v.Is, plan.Milliseconds(p.Schedule.CycleUs))
		}
		if v.ID == "blind" && !strings.Contains(v.Is, plan.Millimetres(widest(p))) {
			t.Errorf("hides %s, by command %s", v.Is, plan.Millimetres(widest(p)))
		}
	}
	d.key("Ctrl+Z")
	if d.Text() != before {
		t.Fatal("one undo does not take the whole drag back")
	}
}

// widest is the gap nearest to its demand or beyond it.
func widest(p *plan.Plan) float64 {
	gap, margin := 0.0, math.Inf(1)
	for _, c := range p.Coverage {
		if r := c.Required.LargestGap; r != nil && *r-c.WidestGapM < margin {
			gap, margin = c.WidestGapM, *r-c.WidestGapM
		}
	}
	return gap
}

func TestEscapeTakesADragBack(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	at, _ := d.Sensor("side.left")
	d.press(d.Where(at))
	d.move(d.Where([2]float64{at[0] - 0.1, at[1]}))
	if d.Text() == before {
		t.Fatal("nothing moved")
	}
	d.key("Escape")
	d.lift()
	if d.Text() != before || strings.HasPrefix(d.Title(), "•") {
		t.Error("Escape leaves something of the drag")
	}
}

// A plain click chooses and changes nothing, even when the hand shakes a little.
func TestClickChooses(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	for _, name := range []string{"side.left", "stern-corner.right", "bow.1"} {
		at, _ := d.Sensor(name)
		p := d.Where(at)
		d.press(p)
		d.move(canvas.Point{p[0] + 1, p[1] + 1})
		d.lift()
		if c := d.Chosen(); len(c) != 1 || c[0] != name {
			t.Errorf("a click on %s chooses %v", name, c)
		}
	}
	at, _ := d.Sensor("side.left")
	d.click(d.Where(at), input.Mods{Shift: true})
	if len(d.Chosen()) != 2 || d.Text() != before {
		t.Errorf("shift chooses %v", d.Chosen())
	}
}

// Alt lets a drag go freely to the millimetre; without it it keeps to round steps.
func TestSnapsAreHeldOff(t *testing.T) {
	for _, alt := range []bool{false, true} {
		d := opened(t, "shelf-cart")
		d.key("Plus", "Plus")
		at, _ := d.Sensor("side.left")
		d.drag(d.Where(at), d.Where([2]float64{at[0] - 0.0814, at[1]}), input.Mods{Alt: alt})
		line := lineOf(d.Text(), "name: side,")
		if round := strings.Contains(line, "forward: 60 mm}"); round == alt {
			t.Errorf("alt %v: %s", alt, line)
		}
	}
}

func TestTurnByTheGrip(t *testing.T) {
	d := opened(t, "shelf-cart")
	at, _ := d.Sensor("side.left")
	d.click(d.Where(at))
	grip, ok := d.Grip()
	if !ok {
		t.Fatal("a chosen sensor has no grip to turn it")
	}
	base := d.Where(at)
	r := math.Hypot(grip[0]-base[0], grip[1]-base[1])
	// The left side looks to the left, up in the window; 20 degrees further counter-clockwise.
	a := (90 + 20) * math.Pi / 180
	d.drag(grip, canvas.Point{base[0] + r*math.Cos(a), base[1] - r*math.Sin(a)})
	if line := lineOf(d.Text(), "name: side,"); !strings.Contains(line, "heading: 20 deg") {
		t.Fatalf("turned: %s", line)
	}
}

// The grips of the side view: tilt and height follow the hand, each drag is one entry.
func TestSideGrips(t *testing.T) {
	d := opened(t, "shelf-cart")
	at, _ := d.Sensor("side.left")
	d.click(d.Where(at))
	before := d.Text()
	tilt, height, ok := d.SideGrips()
	if !ok {
		t.Fatal("no side view")
	}
	d.drag(tilt, canvas.Point{tilt[0], tilt[1] - 15})
	line := lineOf(d.Text(), "name: side,")
	if !strings.Contains(line, "tilt: ") || strings.Contains(line, "tilt: -") {
		t.Fatalf("tilted up: %s", line)
	}
	d.key("Ctrl+Z")
	d.drag(height, canvas.Point{height[0], height[1] - 10})
	if line := lineOf(d.Text(), "name: side,"); strings.Contains(line, "height: 250 mm") {
		t.Fatalf("raised: %s", line)
	}
	if d.key("Ctrl+Z"); d.Text() != before {
		t.Error("undo does not give the bytes back")
	}
}

// A press in the cycle puts the time mark there, and pulling moves it.
func TestTimeMark(t *testing.T) {
	d := opened(t, "shelf-cart")
	d.drag(canvas.Point{400, 740}, canvas.Point{600, 740})
	if m := d.Mark(); m <= 0 {
		t.Errorf("time mark at %v", m)
	}
	if strings.HasPrefix(d.Title(), "•") {
		t.Error("looking at a moment changes the layout")
	}
}

// The help page is painted at the key that asks for it.
func TestHelpShowsAtOnce(t *testing.T) {
	d := opened(t, "first-rover")
	d.Handle(input.Event{Kind: input.Key, Name: "F1"})
	if _, fresh := d.Frame(); !fresh {
		t.Error("nothing is painted anew")
	}
	if _, ok := d.Item("find"); !ok {
		t.Error("no help page")
	}
}

// A zone's edge is pulled: the far edge of the skirt, 400 mm from the body, to 500 mm.
func TestPullAZone(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	d.key("O") // the drawing shows the skirt's target
	if th := d.ThingAt(d.Where([2]float64{-0.8, 0.1})); th != "skirt" {
		d.key("O")
	}
	d.drag(d.Where([2]float64{-0.8, 0.1}), d.Where([2]float64{-0.9, 0.1}))
	gone, come := diff(before, d.Text())
	if len(gone) != 1 || len(come) != 1 || !strings.Contains(come[0], "depth: 20..500 mm") {
		t.Fatalf("gone %q\ncome %q", gone, come)
	}
	if d.key("Ctrl+Z"); d.Text() != before {
		t.Error("undo does not give the bytes back")
	}
}

func TestZoomAndPanChangeNothing(t *testing.T) {
	d := opened(t, "first-rover")
	before := d.Text()
	mid := canvas.Point{450, 350}
	for range 200 {
		d.do(input.Event{Kind: input.Wheel, At: mid, Scroll: canvas.Point{0, -120}})
	}
	d.drag(canvas.Point{300, 200}, canvas.Point{3000, -2000})
	for range 400 {
		d.do(input.Event{Kind: input.Wheel, At: mid, Scroll: canvas.Point{0, 120}})
	}
	d.do(input.Event{Kind: input.Pinch, At: mid, Zoom: 1e-30})
	d.key("F")
	if d.Text() != before {
		t.Error("looking changes the layout")
	}
}

// From the empty window to a reversing aid of four sensors whose demands are met, by hand, in at most 60 events and
// without a key of the file typed. The figures: a trailer 1.4 m long and 1 m wide that is backed at 0.3 m/s.
func TestNewcomer(t *testing.T) {
	d := newDesk(t)
	d.asks = 0
	d.set("start:length", "1.4 m")
	d.set("start:width", "1 m")
	d.choice("start:way", "backward")
	d.set("start:speed", "0.3 m/s")
	d.key("Enter")
	// The skirt all round is not what a reversing aid is for.
	d.clickOn("pick:zone:skirt")
	d.key("Delete")
	// Four in a row along the rear.
	d.key("S")
	d.choice("mount:kind", "open-pair-5v")
	d.set("mount:count", "4")
	d.drag(d.Where([2]float64{-0.7, 0.38}), d.Where([2]float64{-0.7, -0.38}))
	if _, ok := d.Sensor("eye.4"); !ok {
		t.Fatalf("no four sensors: %s\n%s", d.Said(), d.Text())
	}
	for _, v := range d.Verdicts() {
		if v.State == editor.NotMet || v.State == editor.Working {
			t.Errorf("%s: %s, %s", v.Title, v.Is, v.Asked)
		}
	}
	if p := byCommand(t, d.Text()); !p.Met {
		t.Errorf("the command line does not call it met: %v\n%s", p.Findings, d.Text())
	}
	if d.asks > 60 {
		t.Errorf("%d events", d.asks)
	}
	t.Logf("%d events", d.asks)
}

func TestZoneFromTheEdge(t *testing.T) {
	d := opened(t, "shelf-cart")
	before := d.Text()
	d.key("Z")
	d.drag(d.Where([2]float64{0.4, 0}), d.Where([2]float64{0.7, 0}))
	_, come := diff(before, d.Text())
	if len(come) != 1 || !strings.Contains(come[0], "band: {along: front, depth: 0..300 mm}") {
		t.Fatalf("come %q, said %q", come, d.Said())
	}
	d.key("Ctrl+Z", "Z")
	d.drag(d.Where([2]float64{0.9, 0.5}), d.Where([2]float64{1.2, 0.8}))
	if _, come := diff(before, d.Text()); len(come) != 1 || !strings.Contains(come[0], "polygon: [[900 mm, 500 mm]") {
		t.Fatalf("come %q", come)
	}
}

// The trailer with its ramp down reads its own ramp; tilting the four sensors as the finding says rids them of it.
func TestWayOut(t *testing.T) {
	d := deskWith(t, &atOnce{advise: true})
	d.Load("trailer.yaml", sample(t, "plank-trailer"))
	d.Frame()
	before := d.Text()
	unmet := notMet(byCommand(t, before))
	if !d.Try() {
		t.Fatal("no way out is offered")
	}
	d.Frame()
	if at, ok := d.Item("tried"); !ok || at.H == 0 {
		t.Error("before and after are not shown")
	}
	if after := notMet(byCommand(t, d.Text())); after >= unmet {
		t.Errorf("%d demands unmet before, %d after", unmet, after)
	}
	d.key("Ctrl+Z")
	if d.Text() != before {
		t.Error("one undo does not take the way out back")
	}
}

// A picture 400 pixels wide is brought to scale by a line over 200 of them that is truly 2 m: a pixel is 1 cm.
func TestPictureToScale(t *testing.T) {
	d := opened(t, "first-rover")
	before := d.Text()
	var picture bytes.Buffer
	if err := encodePNG(&picture, 400, 300); err != nil {
		t.Fatal(err)
	}
	d.do(input.Event{Kind: input.Drop, Files: []input.File{{Name: "above.png", Data: picture.Bytes()}}})
	f, _ := d.Frame()
	at, step := photoIn(t, f)
	d.drag(canvas.Point{at[0] + 100*step, at[1] + 50*step}, canvas.Point{at[0] + 300*step, at[1] + 50*step})
	d.typedInto("scale:length", "2 m")
	f, _ = d.Frame()
	at2, step2 := photoIn(t, f)
	m := math.Abs(d.World(canvas.Point{at2[0] + 100*step2, at2[1]})[0] - d.World(at2)[0])
	if math.Abs(m-1) > 0.01 {
		t.Errorf("100 pixels are %.3f m", m)
	}
	if d.Text() != before {
		t.Error("a picture changes the layout")
	}
}

func photoIn(t *testing.T, f *canvas.Frame) (at canvas.Point, step float64) {
	t.Helper()
	for _, l := range f.Layers {
		if l.Photo != nil {
			return l.Photo.At, l.Photo.X[0]
		}
	}
	t.Fatal("no picture in the frame")
	return at, 0
}

func encodePNG(w *bytes.Buffer, width, height int) error {
	return png.Encode(w, image.NewGray(image.Rect(0, 0, width, height)))
}

func notMet(p *plan.Plan) (n int) {
	for _, f := range p.Findings {
		if f.Severity == plan.NotMet {
			n++
		}
	}
	return n
}
