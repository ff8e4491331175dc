//go:build !js

package main

import (
	"context"
	"os"
	"testing"

	"echowright/planner/editor"
)

// shown names the program a copy of this test binary shows in a window of its own instead of running tests.
const shown = "ECHOWRIGHT_EDITOR_TEST_SHOWS"

// atEnd is what must be done when all tests are: what they share is put away.
var atEnd []func()

func TestMain(m *testing.M) {
	programs := map[string]func(bool) (editor.Program, func(), error){"demo": newDemo, "editor": newProgram, "spied": newSpied, "timed": newTimed, "empty": newEmpty}
	if os.Getenv(shown) == "dragged" {
		os.Exit(showDragging())
	}
	if p, ok := programs[os.Getenv(shown)]; ok {
		os.Exit(run(context.Background(), os.Args[1:], streams{out: os.Stdout, err: os.Stderr, program: p}))
	}
	code := m.Run()
	for _, end := range atEnd {
		end()
	}
	os.Exit(code)
}
