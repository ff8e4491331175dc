package csv

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"echowright/planner/plan/plantest"
)

func TestTablesReadBack(t *testing.T) {
	p := plantest.Small()
	for _, table := range Tables {
		var b bytes.Buffer
		if err := Write(&b, p, table); err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", table, err)
		}
		if len(rows) < 2 {
			t.Errorf("%s: %d rows", table, len(rows))
		}
		for _, r := range rows {
			for _, c := range r {
				if strings.HasPrefix(c, "=") {
					t.Errorf("%s: a spreadsheet would run %q", table, c)
				}
			}
		}
	}
	if err := Write(&bytes.Buffer{}, p, "none"); err == nil {
		t.Error("an unknown table was written")
	}
}

// What rounding leaves of nothing prints as nothing, and a whole number keeps its zeros.
func TestLengthsAreRoundedToAMicrometre(t *testing.T) {
	for x, want := range map[float64]string{2.1e-11: "0", -2.1e-11: "0", 0.1234567: "0.123457", 1200: "1200", -0.25: "-0.25", 0: "0"} {
		if got := f(x); got != want {
			t.Errorf("%g: %s, want %s", x, got, want)
		}
	}
}

// A row of the crosstalk table says what it hides, whether that is the same object, and whether the order keeps it out.
func TestCrosstalkSaysWhatItHidesAndWhetherItIsKeptOut(t *testing.T) {
	p := plantest.Small()
	p.Crosstalk[0].From, p.Crosstalk[0].To = "b", "b"
	p.Crosstalk[0].HidesM = [2]float64{0.5, 1.9}
	late := p.Crosstalk[0]
	late.UntilUs, late.SameObject = 31601, true // b opens 600 us after it fires again, a cycle of 31000 later
	p.Crosstalk = append(p.Crosstalk, late)
	var b bytes.Buffer
	if err := Write(&b, p, "crosstalk"); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"hides_least_m,hides_most_m,same_object,kept_out", "0.5,1.9,false,true", "0.5,1.9,true,false"} {
		if got := strings.Join(rows[i][9:], ","); got != want {
			t.Errorf("row %d ends %s, want %s", i, got, want)
		}
	}
}
