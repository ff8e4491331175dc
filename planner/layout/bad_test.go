package layout

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// Every file of testdata/bad is refused with exactly the messages that stand beside it, each as
// LINE:COL: what is wrong; what would be right.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(files) < 50 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, name := range files {
		doc, list := Parse("", readFile(t, name))
		if doc != nil || !list.HasErrors() {
			t.Errorf("%s is accepted", name)
			continue
		}
		got := list.String() + "\n"
		beside := strings.TrimSuffix(name, ".yaml") + ".txt"
		if *update {
			if err := os.WriteFile(beside, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if want := string(readFile(t, beside)); got != want {
			t.Errorf("%s:\ngot\n%swant\n%s", name, got, want)
		}
	}
}

// Messages name the file, and a fault of one value gives one message.
func TestOneFaultOneMessage(t *testing.T) {
	text := strings.Replace(string(readFile(t, "testdata/good/base.yaml")), "height: 200 mm", "height: 200", 1)
	_, list := Parse("cart.yaml", []byte(text))
	const want = "cart.yaml:14:88: height: bare number 200 where a length is due; add a unit: m, mm, cm, um or km"
	if list.String() != want {
		t.Errorf("got  %s\nwant %s", list, want)
	}
}

func TestTooLargeIsRefusedUnread(t *testing.T) {
	_, list := Parse("big.yaml", bytes.Repeat([]byte{'\n'}, MaxSize+1))
	if want := fmt.Sprintf("big.yaml:1:1: the file is larger than %d bytes; a layout is a short text; is this the right file?", MaxSize); list.String() != want {
		t.Errorf("got %s", list)
	}
}

// A file with faults without end is answered with the first of them and how many more there are.
func TestManyFaultsAreCutShort(t *testing.T) {
	text := string(readFile(t, "testdata/good/base.yaml"))
	lines := strings.Count(text, "\n")
	for i := range mostMessages + 100 {
		text += fmt.Sprintf("w%d: 1\n", i)
	}
	_, list := Parse("cart.yaml", []byte(text))
	want := fmt.Sprintf("cart.yaml:%d:1: 100 more faults from here on; mend the ones above first", lines+mostMessages+1)
	if len(list) != mostMessages+1 || list[mostMessages].String() != want {
		t.Errorf("%d messages, the last %s\nwant %s", len(list), list[len(list)-1], want)
	}
}

// hostile are texts of the greatest size that is read at all, made to cost as much as they can.
func hostile() map[string]string {
	fill := func(s string) string { return strings.Repeat(s, MaxSize/len(s)) }
	return map[string]string{
		"brackets":     fill("["),
		"braces":       fill("{a: "),
		"dashes":       fill("- "),
		"commas":       "a: [" + fill("x,")[8:],
		"keys":         fill("a:\n"),
		"newlines":     fill("\n"),
		"comments":     fill("#\n"),
		"long comment": "#" + fill("x")[1:],
		"one word":     fill("x"),
		"words":        fill("x "),
		"lines":        fill("x\n"),
		"quotes":       fill("'"),
		"anchors":      "a: " + fill("&a ")[8:],
		"aliases":      "a: &a [" + fill("*a ")[8:],
		"questions":    fill("? "),
		"bars":         "a: |\n" + fill(" x\n")[8:],
		"tags":         fill("!a "),
		"documents":    fill("---\n"),
		"percent":      fill("%A\n"),
		"number":       "echowright: " + fill("9")[16:],
		"length":       "echowright: 1\nair: {temperature: " + fill("9")[64:] + " degC}",
		"keys in one":  "{" + fill("a1: b1, ")[8:],
	}
}

// No text takes memory out of proportion: at most some hundred bytes for each of its own.
func TestHostileTextsStayBounded(t *testing.T) {
	for name, text := range hostile() {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		doc, list := Parse("x", []byte(text))
		runtime.ReadMemStats(&after)
		if doc != nil || len(list) == 0 {
			t.Errorf("%s accepted", name)
		}
		// Everything ever allocated, a generous measure: 128 MB for 1 MiB of text.
		if used := after.TotalAlloc - before.TotalAlloc; used > 128<<20 {
			t.Errorf("%s: %d MB allocated", name, used>>20)
		}
		if len(list.String()) > 1<<20 {
			t.Errorf("%s: messages of %d bytes", name, len(list.String()))
		}
	}
}

// A polygon may have a thousand corners, wherever one is written, and no more.
func TestCornersAreBounded(t *testing.T) {
	base := string(readFile(t, "testdata/good/base.yaml"))
	ring := func(n int) string {
		corners := make([]string, n)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			corners[i] = fmt.Sprintf("[%.5f m, %.5f m]", c, s)
		}
		return "polygon: [" + strings.Join(corners, ", ") + "]"
	}
	for _, place := range []string{"rectangle: [0.7 m, 0.5 m], corner: 100 mm, centre: [0 m, 0 m]", "circle: 40 mm, centre: [-0.25 m, 0 m]", "swept: {way: forward, reach: 1.4 m, wider-by: 50 mm}"} {
		with := func(n int) (*Document, string) {
			text := strings.Replace(base, place, ring(n), 1)
			if text == base {
				t.Fatalf("%s is not in the file", place)
			}
			doc, list := Parse("", []byte(text))
			return doc, list.String()
		}
		if doc, said := with(1000); doc == nil {
			t.Errorf("a thousand corners for %s: %s", place, said)
		}
		if doc, said := with(1001); doc != nil || !strings.HasSuffix(said, "polygon has 1001 entries; no more than 1000") || strings.Contains(said, "\n") {
			t.Errorf("one more for %s: %s", place, said)
		}
	}
}
