package plan_test

import (
	"bytes"
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"echowright/planner/plan"
	"echowright/planner/plan/plantest"
)

// What is written must read back to the same plan, byte for byte when written again.
func TestWriteReadsBack(t *testing.T) {
	var b bytes.Buffer
	p := plantest.Small()
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	var q plan.Plan
	d := json.NewDecoder(bytes.NewReader(b.Bytes()))
	d.DisallowUnknownFields()
	if err := d.Decode(&q); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(*p, q) {
		t.Errorf("read back differs:\n%+v\n%+v", *p, q)
	}
	// An empty plan has empty lists, not null, for programs that iterate.
	b.Reset()
	if err := new(plan.Plan).Write(&b); err != nil {
		t.Fatal(err)
	}
	if s := b.String(); strings.Contains(s, `"lobes": null`) || !strings.Contains(s, `"lobes": []`) {
		t.Errorf("empty plan: %s", s)
	}
}

func TestWriteRefusesWhatIsNotANumber(t *testing.T) {
	p := plantest.Small()
	p.Coverage[0].FoldM2[1] = math.NaN()
	err := p.Write(&bytes.Buffer{})
	if err == nil || !strings.Contains(err.Error(), "plan.Coverage[0].FoldM2[1]") {
		t.Errorf("got %v", err)
	}
}
