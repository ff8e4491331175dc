package view

import (
	"encoding/base64"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"time"

	"echowright/planner/editor/canvas"
	"echowright/planner/editor/typeset"
	"echowright/planner/export/draw"
	"echowright/planner/export/svg"
	"echowright/planner/plan"
)

var (
	plansDir    = flag.String("plans", "", "directory of plans as JSON to make pictures of")
	picturesDir = flag.String("pictures", "", "directory to write them to")
)

// TestPictures writes the pictures of plans for a person to look at.
func TestPictures(t *testing.T) {
	if *plansDir == "" || *picturesDir == "" {
		t.Skip("no -plans and -pictures")
	}
	files, err := filepath.Glob(filepath.Join(*plansDir, "*.json"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		p := new(plan.Plan)
		if err := json.Unmarshal(data, p); err != nil {
			t.Fatal(err)
		}
		if len(p.Sensors) < 2 || len(p.Body.Outline) < 4 {
			continue // not a plan
		}
		name := strings.TrimSuffix(filepath.Base(f), ".json")
		write(t, name+"-calm", p, Looks{Lobes: true, Blind: true, Paths: true, Grid: true, Zones: true, Stops: true}, Live{}, 916, 522)
		first := p.Sensors[len(p.Sensors)/2]
		l := Looks{Lobes: true, Blind: true, Paths: true, Grid: true, Zones: true, Stops: true, Chosen: []string{first.Name},
			Mark: 4 * time.Millisecond, Marked: true, Probed: true, Probe: [2]float64{first.X + 0.4, first.Y + 0.3}, Measured: true,
			Measure: [2][2]float64{p.Body.Outline[0], p.Body.Outline[len(p.Body.Outline)/3]}}
		for _, f := range p.Schedule.Firings {
			if f.Sensor == first.Name {
				l.Mark += micros(f.AtUs)
			}
		}
		write(t, name+"-busy", p, l, Live{KeptTo: "middle of the front", Ghost: []Pose{{p.Body.Outline[3], 1}}}, 1100, 700)
		l = Looks{Lobes: true, Overlaps: true, Grid: true, Zones: true, Chosen: []string{p.Sensors[0].Name, p.Sensors[1].Name}}
		write(t, name+"-pair", p, l, Live{}, 600, 400)
		l.Chosen, l.Overlaps, l.Paths = l.Chosen[:1], false, true
		write(t, name+"-dragged", p, l, Live{Stale: true, KeptTo: "round length", Moved: map[string]Pose{
			p.Sensors[0].Name: {[2]float64{p.Sensors[0].X, p.Sensors[0].Y + 0.1}, p.Sensors[0].Heading + 0.4}}, Box: canvas.Rect{X: 100, Y: 100, W: 80, H: 50}}, 600, 400)
		l = Looks{Lobes: true, Blind: true, Grid: true, Zones: true, Marked: true, Probed: true, Probe: [2]float64{p.Sensors[0].X + 0.5*math.Cos(p.Sensors[0].Heading), p.Sensors[0].Y + 0.5*math.Sin(p.Sensors[0].Heading)}}
		for _, f := range p.Schedule.Firings {
			if f.Sensor == p.Sensors[0].Name {
				l.Mark = micros(f.AtUs) + 2200*time.Microsecond
			}
		}
		write(t, name+"-echo", p, l, Live{}, 600, 400)
	}
}

func write(t *testing.T, name string, p *plan.Plan, l Looks, live Live, w, h float64) {
	r, err := typeset.New()
	if err != nil {
		t.Fatal(err)
	}
	lo, hi := Extent(p)
	area := canvas.Rect{W: w, H: h}
	cycle := canvas.Rect{Y: h + 10, X: 8, W: w - 16, H: 160}
	side := canvas.Rect{X: w + 10, Y: 10, W: 308, H: 180}
	cam := Fit(area, lo, hi)
	layers := Drawing(nil, p, live, cam, l, r)
	layers = append(layers, canvas.Layer{Name: "panels", Shapes: []draw.Shape{filled(cycle.Inset(-6), draw.Style{Fill: draw.Plate}), filled(side.Inset(-6), draw.Style{Fill: draw.Plate})}})
	c, _ := Cycle(p, cycle, live, l, r)
	layers = append(layers, c...)
	name1 := p.Sensors[0].Name
	if len(l.Chosen) > 0 {
		name1 = l.Chosen[0]
	}
	s, _ := Side(p, name1, side, l, r)
	layers = append(layers, s...)
	pic := &draw.Picture{Title: name, Min: draw.Point{0, h + 180}, Max: draw.Point{w + 330, 0}, PxX: 1, PxY: -1}
	for _, l := range layers {
		// Shapes first, then texts, as a painter does.
		sort.SliceStable(l.Shapes, func(i, j int) bool { return l.Shapes[i].Text == "" && l.Shapes[j].Text != "" })
		pic.Layers = append(pic.Layers, draw.Layer{Name: l.Name, Shapes: l.Shapes})
	}
	var b strings.Builder
	if err := svg.Picture(&b, pic, true); err != nil {
		t.Fatal(err)
	}
	face := func(weight string, data []byte) string {
		return "@font-face{font-family:Go;font-weight:" + weight + ";src:url(data:font/ttf;base64," + base64.StdEncoding.EncodeToString(data) + ")}"
	}
	text := strings.Replace(b.String(), `"Noto Sans"`, `Go,"Noto Sans"`, 1)
	text = strings.Replace(text, "<style>", "<style>"+face("400", typeset.Regular())+face("600", typeset.Bold()), 1)
	for _, dark := range []bool{false, true} {
		out := name + "-light"
		if dark {
			out, text = name+"-dark", strings.Replace(text, "prefers-color-scheme:dark", "min-width:1px", 1)
		}
		if err := os.WriteFile(filepath.Join(*picturesDir, out+".svg"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
