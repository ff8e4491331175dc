package main

import (
	"io/fs"
	"runtime"

	"echowright/assets"
	"echowright/layouts"
	"echowright/planner/editor"
	"echowright/planner/editor/live"
	"echowright/planner/editor/typeset"
	"echowright/planner/export"
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
		Ruler: ruler, Analysis: runner, Kinds: assets.Kinds(), Samples: samples, Exports: export.All,
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
