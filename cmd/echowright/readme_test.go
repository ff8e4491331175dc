package main

import (
	"flag"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the README's output and picture anew")

// held compares a committed file with what it must be, or writes it with -update.
func held(t *testing.T, file, want string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(got) != want {
		t.Errorf("%s is not what the command gives; run go test ./cmd/echowright -update", file)
	}
}

// shown holds the README's block under a heading to what a command gives, from a line on and up to another.
func shown(t *testing.T, heading, command, from, upTo string) {
	t.Helper()
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	open, shut := heading+"\n```\n", "```\n"
	before, rest, ok := strings.Cut(string(data), open)
	_, after, ok2 := strings.Cut(rest, shut)
	if !ok || !ok2 {
		t.Fatalf("the README's output block under %q is gone", heading)
	}
	out := invoke(t, "", command, layoutsDir+"first-rover.yaml").out
	_, out, _ = strings.Cut("\n"+out, "\n"+from)
	out, _, _ = strings.Cut(from+out, upTo)
	held(t, "../../README.md", before+open+"$ echowright "+command+" layouts/first-rover.yaml\n"+out+shut+after)
}

func TestReadmeShowsRealOutput(t *testing.T) {
	shown(t, "## What the answer looks like", "plan", "", "\ndetails:")
	shown(t, "## What breaks first", "margins", "what breaks first", "\nThis is not a safety device")
}

func TestReadmeShowsRealWaysOut(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	const open, shut = "```\n$ echowright ways layouts/hall-sweeper.yaml\n", "```\n"
	before, rest, ok := strings.Cut(string(data), open)
	_, after, ok2 := strings.Cut(rest, shut)
	if !ok || !ok2 {
		t.Fatal("the README's ways out are gone")
	}
	held(t, "../../README.md", before+open+invoke(t, "", "ways", layoutsDir+"hall-sweeper.yaml").out+shut+after)
}

func TestReadmePictureIsReal(t *testing.T) {
	held(t, "../../assets/shelf-cart.svg", invoke(t, "", "export", "--as", "svg", layoutsDir+"shelf-cart.yaml").out)
}

func TestReadmeNamesEveryCommand(t *testing.T) {
	data, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range commands() {
		if !strings.Contains(string(data), "`"+c.name) {
			t.Errorf("the README does not name %s", c.name)
		}
	}
}
