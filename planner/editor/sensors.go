package editor

import (
	"fmt"
	"math"
	"slices"

	"echowright/geometry"
	"echowright/planner/editor/view"
	"echowright/planner/layout"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/s1"
)

func sensorNamed(sc *scene.Scene, name string) (s scene.Sensor) {
	for _, s := range sc.Sensors {
		if s.Name == name {
			return s
		}
	}
	return scene.Sensor{}
}

// without are the sensors but for those named.
func without(all []scene.Sensor, names []string) []scene.Sensor {
	return slices.DeleteFunc(slices.Clone(all), func(s scene.Sensor) bool { return slices.Contains(names, s.Name) })
}

func addName(names []string, name string) []string {
	if slices.Contains(names, name) {
		return names
	}
	return append(names, name)
}

// movedPoses is where the drawing shows dragged sensors, and the twins that go with them, before the numbers follow.
func movedPoses(sc *scene.Scene, to map[string]pose) map[string]view.Pose {
	out := map[string]view.Pose{}
	for name, p := range to {
		out[name] = view.Pose{At: [2]float64{p.at.X, p.at.Y}, Heading: p.heading.Radians()}
		if twin, ok := twinOf(sc, name); ok {
			m := p.mirrored()
			if _, moves := to[twin]; !moves {
				out[twin] = view.Pose{At: [2]float64{m.at.X, m.at.Y}, Heading: m.heading.Radians()}
			}
		}
	}
	return out
}

// twinOf is the other sensor of a mirrored pair.
func twinOf(sc *scene.Scene, name string) (string, bool) {
	s := sensorNamed(sc, name)
	for _, o := range sc.Sensors {
		if o.Group == s.Group && o.Image != s.Image {
			return o.Name, true
		}
	}
	return "", false
}

// entryPath is where the entry of a sensor stands in the document.
func entryPath(s scene.Sensor) string { return "sensors." + s.Group }

func entryOf(doc *layout.Document, s scene.Sensor) layout.Entry {
	e, _ := doc.Root().Get(entryPath(s))
	return e
}

func normalAt(o *geometry.Outline, s scene.Sensor) s1.Angle {
	if math.IsNaN(s.ArcM) {
		return 0
	}
	_, n := o.At(s.ArcM)
	return n
}

// followsOutline reports whether a sensor's heading turns with the outline when it is moved along it.
func followsOutline(doc *layout.Document, s scene.Sensor) bool {
	h, ok := entryOf(doc, s).Get("heading")
	return !ok || h.Word() != fromForward
}

// placeEdits writes new places of sensors, each entry once: that of a mirrored pair where its entry stands.
func placeEdits(_ *layout.Document, sc *scene.Scene, o *geometry.Outline, to map[string]pose) (edits []layout.Edit) {
	eachEntry(sc, to, func(s scene.Sensor, p pose) {
		text := ""
		if math.IsNaN(s.ArcM) {
			text = placeFreely(p.at)
		} else {
			text = placeText(o, p.arc)
		}
		edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".at", Text: text})
	})
	return edits
}

func placeFreely(p r2.Point) string {
	return fmt.Sprintf("{place: [%s, %s]}", lengthText(p.X), lengthText(p.Y))
}

// headingEdits writes new headings, each entry once.
func headingEdits(doc *layout.Document, sc *scene.Scene, o *geometry.Outline, to map[string]pose) (edits []layout.Edit) {
	eachEntry(sc, to, func(s scene.Sensor, p pose) {
		h := entryOf(doc, s).Value("heading")
		normal := normalAt(o, s)
		text := headingText(p.heading, normal, h.Num(), h.Word(), (s.Heading - normal).Normalized())
		edits = append(edits, layout.Edit{Do: layout.Set, Path: entryPath(s) + ".heading", Text: text})
	})
	return edits
}

// eachEntry calls do once for every entry that one of the poses belongs to, in the order of the scene, with the sensor
// as its entry writes it and the pose it shall take there.
func eachEntry(sc *scene.Scene, to map[string]pose, do func(s scene.Sensor, p pose)) {
	var done []string
	for _, s := range sc.Sensors {
		p, ok := to[s.Name]
		if !ok || slices.Contains(done, s.Group) {
			continue
		}
		done = append(done, s.Group)
		if s.Image {
			p = p.mirrored()
			if i := slices.IndexFunc(sc.Sensors, func(o scene.Sensor) bool { return o.Group == s.Group && !o.Image }); i >= 0 {
				s = sc.Sensors[i]
			}
		}
		do(s, p)
	}
}
