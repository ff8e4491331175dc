package planner

import (
	"testing"

	"echowright/assets"
	"echowright/planner/acoustics"
	"echowright/planner/layout"
	"echowright/planner/resolve"
	"echowright/planner/scene"
)

// What anyone who has worked with such modules expects. Common practice, no source.
func TestCommonPractice(t *testing.T) {
	doc, list := layout.ParseKinds("kinds", assets.Kinds())
	if list.HasErrors() {
		t.Fatal(list)
	}
	kinds, targets, list := resolve.Kinds(doc)
	if list.HasErrors() {
		t.Fatal(list)
	}
	models := map[string]*acoustics.Model{}
	room := scene.Air{TemperatureC: scene.Span{Lo: 20, Hi: 20}, HumidityPct: scene.Span{Lo: 50, Hi: 50}, PressurePa: scene.Span{Lo: 101325, Hi: 101325}}
	for _, k := range kinds {
		m, err := acoustics.NewModel(k, room)
		if err != nil {
			t.Fatalf("%s: %v", k.Name, err)
		}
		models[k.Name] = m
		// Bursts lie near 40 kHz for all but the large can made for range and the one made for another band.
		if f := m.Frequency(); (f < 38e3 || f > 42e3) && k.Name != "narrow-long-range" && k.Name != "sealed-high-band" {
			t.Errorf("%s: carrier %g Hz", k.Name, f)
		}
	}
	var wall scene.Target
	for _, target := range targets {
		if target.Name == "wall" {
			wall = target
		}
	}
	five, _ := models["open-pair-5v"].ReachM(wall)
	three, _ := models["open-pair-3v3"].ReachM(wall)
	if three >= five {
		t.Errorf("at 3.3 V the open pair reaches %.2f m, at 5 V %.2f m; less is expected", three, five)
	}
	// A reading at 4 m takes about 25 ms.
	if ms := models["open-pair-5v"].ListenUntil(4).Seconds() * 1000; ms < 22 || ms > 28 {
		t.Errorf("a reading at 4 m takes %.1f ms, about 25 expected", ms)
	}
	// Sound is near 330 m/s in the cold.
	if c := acoustics.SpeedOfSound(acoustics.Weather{TemperatureC: 0, HumidityPct: 50, PressurePa: 101325}); c < 328 || c > 334 {
		t.Errorf("speed of sound at 0 degC %.1f m/s", c)
	}
	// A sealed can for vehicles is blind much farther than an open pair.
	if s, o := models["sealed-pulse-width"].BlindM(), models["open-pair-5v"].BlindM(); s < 3*o {
		t.Errorf("sealed can blind to %.2f m, open pair to %.2f m", s, o)
	}
}
