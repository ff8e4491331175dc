package main

import (
	"bytes"
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"echowright/planner/editor"
)

func TestWordsOfTheCall(t *testing.T) {
	for call, want := range map[string]choices{
		"":                           {},
		"cart.yaml":                  {file: "cart.yaml"},
		"-dark cart.yaml -scale 1.5": {file: "cart.yaml", dark: true, scale: 1.5},
		"cart.yaml --light":          {file: "cart.yaml", light: true},
		"-serve 127.0.0.1:0":         {serve: "127.0.0.1:0"},
	} {
		if got, err := parse(strings.Fields(call), io.Discard); err != nil || got != want {
			t.Errorf("%q: %+v, %v", call, got, err)
		}
	}
}

// A mistake is one clear line and the use, and no window is opened.
func TestMistakesInTheCall(t *testing.T) {
	for call, want := range map[string]string{
		"-scale 9":          "0.5 to 4",
		"-scale x":          "invalid value",
		"-dark -light":      "give one",
		"a.yaml b.yaml":     "2 files",
		"-bright":           "-bright",
		"-serve 0.0.0.0:80": "others could reach it",
		"-serve 8080":       "no address",
		"-serve :1 a.yaml":  "goes alone",
	} {
		var out, err bytes.Buffer
		s := streams{out: &out, err: &err, program: func(bool) (editor.Program, func(), error) {
			t.Errorf("%q opened a window", call)
			return nil, nil, errors.New("not here")
		}}
		if status := run(context.Background(), strings.Fields(call), s); status != exitInput || !strings.Contains(err.String(), want) || out.Len() > 0 {
			t.Errorf("%q: status %d, %q", call, status, err.String())
		}
	}
}

func TestHelpIsNoMistake(t *testing.T) {
	var out, err bytes.Buffer
	if status := run(context.Background(), []string{"-h"}, streams{out: &out, err: &err}); status != exitDone || !strings.Contains(out.String(), "-serve ADDRESS") || err.Len() > 0 {
		t.Errorf("status %d, %q, %q", status, out.String(), err.String())
	}
}
