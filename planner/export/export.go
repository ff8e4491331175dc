// Package export sets a Plan down in every form there is, by name: what the command writes and the editor hands over.
package export

import (
	"bytes"
	"errors"
	"fmt"

	header "echowright/planner/export/c"
	"echowright/planner/export/csv"
	"echowright/planner/export/svg"
	"echowright/planner/plan"
	"echowright/planner/report"
)

// Forms are what Encode can write.
var Forms = []string{"c", "csv", "html", "json", "svg"}

// Encode sets a plan down in one of Forms; table chooses among csv.Tables.
func Encode(p *plan.Plan, as, table string) ([]byte, error) {
	var b bytes.Buffer
	var err error
	switch as {
	case "json":
		err = p.Write(&b)
	case "svg":
		err = svg.Write(&b, p)
	case "c":
		err = header.Write(&b, p)
	case "csv":
		err = csv.Write(&b, p, table)
	case "html":
		err = report.Write(&b, p)
	default:
		err = fmt.Errorf("there is no form %q", as)
	}
	return b.Bytes(), err
}

// All sets a plan down in every form, by file name. Where a plan has no table to fire by, there is no header: the
// report says why.
func All(p *plan.Plan) (map[string][]byte, error) {
	type form struct{ as, table string }
	forms := map[string]form{"report.html": {"html", ""}, "plan.json": {"json", ""}, "drawing.svg": {"svg", ""}, "firing.h": {"c", ""}}
	for _, t := range csv.Tables {
		forms[t+".csv"] = form{"csv", t}
	}
	files := map[string][]byte{}
	for name, f := range forms {
		data, err := Encode(p, f.as, f.table)
		if errors.As(err, new(*header.Refusal)) {
			continue
		} else if err != nil {
			return nil, err
		}
		files[name] = data
	}
	return files, nil
}
