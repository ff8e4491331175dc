package compare

import (
	"fmt"
	"math"
	"strings"

	"echowright/planner/acoustics"
	"echowright/planner/scene"

	"github.com/golang/geo/r2"
)

// Beam draws in characters what a module of the kind sees from above: two targets, the one seen
// farther as dots and the other as blocks, the module at the left looking right. A character stands
// for the level at its middle.
func Beam(k scene.Kind, wide, narrow scene.Target, air scene.Air) (string, error) {
	const columns, rows = 64, 23
	m, err := acoustics.NewModel(k, air)
	if err != nil {
		return "", err
	}
	height := 0.25
	ear := m.Mount(scene.Sensor{HeightM: height}, scene.GroundSmooth)
	far, _ := m.ReachM(wide)
	if other, _ := m.ReachM(narrow); other > far {
		far, wide, narrow = other, narrow, wide
	}
	if far <= 0 {
		return "nothing of " + wide.Name + " is seen\n", nil
	}
	step := 1.05 * far / columns
	blind := m.BlindM()
	lines := make([]string, rows)
	for row := range rows {
		y := (float64(rows/2) - float64(row)) * 2 * step // a character is twice as tall as wide
		line := make([]rune, columns)
		for col := range columns {
			x := (float64(col) + 0.5) * step
			p := r2.Point{X: x, Y: y}
			switch d := math.Hypot(x, y); {
			case d < blind:
				line[col] = '·'
			case ear.Level(narrow, p, acoustics.Certain) >= 0:
				line[col] = '█'
			case ear.Level(wide, p, acoustics.Certain) >= 0:
				line[col] = '░'
			default:
				line[col] = ' '
			}
		}
		mark := ' '
		if row == rows/2 {
			mark = '▶'
		}
		lines[row] = strings.TrimRight("  "+string(mark)+string(line), " ")
	}
	for len(lines) > 1 && lines[0] == "" && lines[len(lines)-1] == "" {
		lines = lines[1 : len(lines)-1]
	}
	return fmt.Sprintf("%s\n  from above, %.2f m wide; ░ %s, █ %s, · too close\n", strings.Join(lines, "\n"), 1.05*far, wide.Name, narrow.Name), nil
}
