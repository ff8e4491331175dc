package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever is wrong with a file, its text and what it says, comes in one go, one line each, and nothing else happens.
func TestRefusedFiles(t *testing.T) {
	good, err := os.ReadFile(layoutsDir + "first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	small := string(good)
	for _, c := range []struct {
		name, text string
		want       []string // the beginning of each line after FILE:
	}{
		{"empty", "", []string{"1:1: the file holds no layout; "}},
		{"blank", "\n\n# nothing\n", []string{"1:1: the file holds no layout; "}},
		{"binary", "\x7fELF\x02\x01\x00", []string{"1:1: control character U+007F; "}},
		{"too large", strings.Repeat("# filling\n", 1<<18), []string{"1:1: cannot be read: is larger than 1024 KiB; "}},
		{"nested", "a: " + strings.Repeat("[", 1<<18), []string{"1:324: brackets are nested too deeply; "}},
		{"two in one", small + "---\n" + small, []string{fmt.Sprintf("%d:1: a second document begins here; ", strings.Count(small, "\n")+1)}},
		{"every kind", `echowright: 1
body: {outline: {polygon: [[1 m, 1 m], [-1 m, -1 m], [-1 m, 1 m], [1 m, -1 m]], height: 0..1 m}}
sensors:
  - {name: eye, kind: near-wid, at: {from: front}, height: 20}
zones: [{name: lane, swept: {way: forward, reach: 1 m}, target: wal, sharp: 90 %}]
`, []string{
			"2:27: the outline crosses or touches itself at (0 mm, 0 mm); ", `4:23: there is no kind of module "near-wid"; did you mean`,
			"4:60: height: bare number 20 where a length is due; ", `5:65: there is no target "wal"; did you mean`, `5:70: unknown key "sharp" in zones 1; did you mean`,
		}},
	} {
		name := filepath.Join(t.TempDir(), "layout.yaml")
		if err := os.WriteFile(name, []byte(c.text), 0o600); err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(t.TempDir(), "out")
		got := invoke(t, "", "plan", name, "--out", out)
		lines := strings.Split(strings.TrimSuffix(got.err, "\n"), "\n")
		if got.status != exitInput || got.out != "" || len(lines) != len(c.want) {
			t.Errorf("%s: status %d, output %q, messages\n%.2000s", c.name, got.status, got.out, got.err)
			continue
		}
		for i, want := range c.want {
			if !strings.HasPrefix(lines[i], name+":"+want) {
				t.Errorf("%s: got\n%s\nwant\n%s:%s…", c.name, lines[i], name, want)
			}
		}
		if _, err := os.Stat(out); !os.IsNotExist(err) {
			t.Errorf("%s: something was written", c.name)
		}
	}
}

func TestUnreadable(t *testing.T) {
	for _, c := range []struct {
		err  error
		want string
	}{
		{fs.ErrPermission, "a.yaml:1:1: cannot be read: permission denied; name a file that can be read"},
		{fs.ErrNotExist, "a.yaml:1:1: cannot be read: file does not exist; check the name, or start one with 'echowright new'"},
	} {
		if got := unreadable("a.yaml", c.err).Error(); got != c.want {
			t.Errorf("got  %s\nwant %s", got, c.want)
		}
	}
}
