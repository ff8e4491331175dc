package svg

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"echowright/planner/export/draw"
	"echowright/planner/plan/plantest"
)

// Every picture must be well-formed XML, read back by the standard library's parser, and hold the names as text only.
func TestPicturesAreWellFormed(t *testing.T) {
	p := plantest.Small()
	v := draw.View{State: plantest.Hostile, Target: plantest.Hostile, Paths: 3}
	for name, pic := range map[string]*draw.Picture{
		"layout": draw.Layout(p, v), "cycle": draw.Cycle(p, 900), "side": draw.Side(p, p.SideViews[0], 400, 200), "curves": draw.Curves(p, plantest.Hostile, 500, 300),
	} {
		for _, alone := range []bool{true, false} {
			var b bytes.Buffer
			if err := Picture(&b, pic, alone); err != nil {
				t.Fatal(err)
			}
			elements := map[string]int{}
			d := xml.NewDecoder(bytes.NewReader(b.Bytes()))
			for {
				tok, err := d.Token()
				if errors.Is(err, io.EOF) {
					break
				}
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if e, ok := tok.(xml.StartElement); ok {
					elements[e.Name.Local]++
				}
			}
			if elements["script"] != 0 {
				t.Errorf("%s: a name became an element", name)
			}
			if elements["path"] == 0 {
				t.Errorf("%s: nothing drawn", name)
			}
			if strings.Contains(b.String(), "NaN") || strings.Contains(b.String(), "Inf") {
				t.Errorf("%s: a coordinate is not a number", name)
			}
		}
	}
}

func TestBlindSpotsAreHatchedNotOnlyColoured(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, plantest.Small()); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`url(#hatch-blind)`, "too close · hides 110 mm", "not a safety device"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("drawing lacks %q", want)
		}
	}
}
