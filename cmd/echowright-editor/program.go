package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner/editor"
	"echowright/planner/editor/live"
	"echowright/planner/editor/typeset"
	header "echowright/planner/export/c"
	"echowright/planner/export/csv"
	"echowright/planner/export/svg"
	"echowright/planner/plan"
	"echowright/planner/report"
)

// newProgram makes the editor, and what ends the work beside it.
func newProgram(dark bool) (editor.Program, func(), error) {
	ruler, err := typeset.New()
	if err != nil {
		return nil, nil, err
	}
	samples, err := sampleLayouts()
	if err != nil {
		return nil, nil, err
	}
	runner := live.New(assets.Kinds(), nil)
	return editor.New(editor.Config{
		Ruler: ruler, Analysis: runner, Kinds: assets.Kinds(), Samples: samples, Exports: exports,
		Apple: runtime.GOOS == "darwin", Dark: dark,
	}), runner.Close, nil
}

func sampleLayouts() ([]editor.Sample, error) {
	entries, err := fs.ReadDir(layouts.FS, ".")
	if err != nil {
		return nil, err
	}
	var ss []editor.Sample
	for _, e := range entries {
		data, err := fs.ReadFile(layouts.FS, e.Name())
		if err != nil {
			return nil, err
		}
		ss = append(ss, editor.Sample{Name: e.Name(), Data: data})
	}
	return ss, nil
}

// exports are the files that echowright plan --out writes.
func exports(p *plan.Plan) (map[string][]byte, error) {
	files := map[string][]byte{}
	put := func(name string, write func(io.Writer) error) error {
		var b bytes.Buffer
		if err := write(&b); errors.As(err, new(*header.Refusal)) {
			return nil // the report says why there is no table
		} else if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		files[name] = b.Bytes()
		return nil
	}
	err := errors.Join(
		put("report.html", func(w io.Writer) error { return report.Write(w, p) }),
		put("plan.json", p.Write),
		put("drawing.svg", func(w io.Writer) error { return svg.Write(w, p) }),
		put("firing.h", func(w io.Writer) error { return header.Write(w, p) }),
	)
	for _, t := range csv.Tables {
		err = errors.Join(err, put(t+".csv", func(w io.Writer) error { return csv.Write(w, p, t) }))
	}
	return files, err
}
