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
