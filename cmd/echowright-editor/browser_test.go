//go:build !js

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"echowright/planner/editor"
	"echowright/planner/editor/canvas"
	"echowright/planner/export/draw"
)

// page is the editor in a browser without a screen, driven through the browser's own debugging pipe.
type page struct {
	t       *testing.T
	to      io.Writer
	from    *bufio.Reader
	number  int
	session string
	console []string // what the page said there
}

// served is the address of the editor's own -serve, which is started once and ends with the tests.
var served = sync.OnceValues(func() (string, error) {
	r, w := io.Pipe()
	var complaint notes
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan bool)
	atEnd = append(atEnd, func() {
		cancel()
		<-ended
	})
	go func() {
		defer close(ended)
		run(ctx, []string{"-serve", "127.0.0.1:0"}, streams{out: w, err: &complaint})
		w.Close()
	}()
	for lines := bufio.NewScanner(r); lines.Scan(); {
		if url := regexp.MustCompile(`^http://127\.0\.0\.1:\d+/$`).FindString(lines.Text()); url != "" {
			return url, nil
		}
	}
	return "", errors.New("no address: " + complaint.String())
})

// visit opens the served editor in Chromium; ask goes behind the page's address.
func visit(t *testing.T, ask string) *page {
	t.Helper()
	if testing.Short() {
		t.Skip("builds for a browser")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not on PATH (Debian: apt-get install chromium)")
	}
	url, err := served()
	if err != nil {
		t.Fatal(err)
	}
	inR, inW, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	outR, outW, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	profile, err := os.MkdirTemp("", "echowright-browser-")
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--disable-quic", "--no-first-run", "--disable-background-networking",
		"--disable-component-update", "--disable-sync", "--remote-debugging-pipe", "--user-data-dir="+profile, "--window-size=1280,800")
	c.ExtraFiles = []*os.File{inR, outW}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	inR.Close()
	outW.Close()
	t.Cleanup(func() {
		_ = c.Process.Kill()
		_ = c.Wait()
		inW.Close()
		outR.Close()
		for range 50 { // its helpers write until they notice that it is gone
			if os.RemoveAll(profile) == nil {
				break
			}
			time.Sleep(100 * time.Millisecond)
		}
	})
	p := &page{t: t, to: inW, from: bufio.NewReader(outR)}
	made := p.call("Target.createTarget", map[string]any{"url": url + ask})
	attached := p.call("Target.attachToTarget", map[string]any{"targetId": made["targetId"], "flatten": true})
	p.session = attached["sessionId"].(string)
	p.call("Runtime.enable", nil)
	p.call("Emulation.setDeviceMetricsOverride", map[string]any{"width": 1280, "height": 800, "deviceScaleFactor": 1, "mobile": false})
	return p
}

// call asks the browser for something and waits for the answer to it.
func (p *page) call(method string, params map[string]any) map[string]any {
	p.t.Helper()
	p.number++
	ask := map[string]any{"id": p.number, "method": method, "params": params}
	if p.session != "" {
		ask["sessionId"] = p.session
	}
	data, err := json.Marshal(ask)
	if err != nil {
		p.t.Fatal(err)
	}
	if _, err := p.to.Write(append(data, 0)); err != nil {
		p.t.Fatal(err)
	}
	for {
		data, err := p.from.ReadBytes(0)
		if err != nil {
			p.t.Fatalf("%s: %v", method, err)
		}
		var said struct {
			ID     int
			Method string
			Params json.RawMessage
			Result map[string]any
			Error  *struct{ Message string }
		}
		if err := json.Unmarshal(bytes.TrimRight(data, "\x00"), &said); err != nil {
			p.t.Fatal(err)
		}
		if said.Method == "Runtime.consoleAPICalled" || said.Method == "Runtime.exceptionThrown" {
			p.console = append(p.console, string(said.Params))
		}
		if said.ID == p.number {
			if said.Error != nil {
				p.t.Fatalf("%s: %s", method, said.Error.Message)
			}
			return said.Result
		}
	}
}

// eval runs a script in the page and returns what it comes to, as text.
func (p *page) eval(script string) string {
	p.t.Helper()
	r := p.call("Runtime.evaluate", map[string]any{"expression": script, "awaitPromise": true, "userGesture": true})
	if e, ok := r["exceptionDetails"]; ok {
		p.t.Fatalf("%s: %v", script, e)
	}
	v := r["result"].(map[string]any)["value"]
	return fmt.Sprint(v)
}

func (p *page) until(what string, true func() bool) {
	p.t.Helper()
	for end := time.Now().Add(2 * patience); !true(); time.Sleep(200 * time.Millisecond) {
		if time.Now().After(end) {
			p.shot("vain")
			p.t.Fatalf("waited in vain for %s; the title is %q, the page says %q, its console %.3000q", what, p.eval("document.title"), p.eval("document.body.innerText"), p.console)
		}
	}
}

func (p *page) shot(name string) image.Image {
	p.t.Helper()
	data, err := base64.StdEncoding.DecodeString(p.call("Page.captureScreenshot", nil)["data"].(string))
	if err != nil {
		p.t.Fatal(err)
	}
	if dir := os.Getenv("ECHOWRIGHT_SHOTS"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, "browser-"+name+".png"), data, 0o644); err != nil {
			p.t.Fatal(err)
		}
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		p.t.Fatal(err)
	}
	return img
}

// The same editor runs in a browser: it shows its paper, takes a file dropped by a person and one dropped by a script, and
// gives a file back as a download.
func TestTheEditorInABrowser(t *testing.T) {
	p := visit(t, "")
	p.until("the editor", func() bool { return strings.HasSuffix(p.eval("document.title"), " – Echowright") }) // the page's own is without a name
	p.until("its paper", func() bool { return pixel(p.shot("start"), 640, 4) == ink(draw.Paper, false) })

	t.Log("a drop made by a script, which has no entry in any file system")
	layout, err := os.ReadFile("../../layouts/first-rover.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(string(layout))
	if err != nil {
		t.Fatal(err)
	}
	p.eval(`{ const t = new DataTransfer(); t.items.add(new File([` + string(text) + `], "scripted.yaml"));
		document.querySelector("canvas").dispatchEvent(new DragEvent("drop", {bubbles: true, cancelable: true, clientX: 300, clientY: 300, dataTransfer: t})) }`)
	p.until("the dropped layout", func() bool { return strings.Contains(p.eval("document.title"), "scripted") })

	t.Log("a drop by hand")
	name := filepath.Join(t.TempDir(), "by-hand.yaml")
	if err := os.WriteFile(name, layout, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, kind := range []string{"dragEnter", "dragOver", "drop"} {
		p.call("Input.dispatchDragEvent", map[string]any{"type": kind, "x": 300, "y": 300, "data": map[string]any{"items": []any{}, "files": []string{name}, "dragOperationsMask": 1}})
	}
	p.until("the layout dropped by hand", func() bool { return strings.Contains(p.eval("document.title"), "by-hand") })

	t.Log("save: the browser downloads")
	p.eval(`window.saved = ""; HTMLAnchorElement.prototype.click = function() { fetch(this.href).then(r => r.text()).then(s => window.saved = this.download + "\n" + s) }`)
	for _, kind := range []string{"rawKeyDown", "keyUp"} {
		p.call("Input.dispatchKeyEvent", map[string]any{"type": "rawKeyDown", "key": "Control", "code": "ControlLeft", "modifiers": 2, "windowsVirtualKeyCode": 17})
		time.Sleep(300 * time.Millisecond)
		p.call("Input.dispatchKeyEvent", map[string]any{"type": kind, "key": "s", "code": "KeyS", "modifiers": 2, "windowsVirtualKeyCode": 83})
		time.Sleep(300 * time.Millisecond)
	}
	p.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": "Control", "code": "ControlLeft", "windowsVirtualKeyCode": 17})
	p.until("the download", func() bool { return p.eval("window.saved") != "" })
	if got, want := p.eval("window.saved"), "by-hand.yaml\n"+string(layout); got != want {
		t.Errorf("downloaded %d bytes, want %d: %.60q", len(got), len(want), got)
	}
	p.shot("end")
}

func (p *page) tell(what, name string) string {
	p.t.Helper()
	return p.eval(fmt.Sprintf("echowright(%q, %q)", what, name))
}

// mouse does one thing with the pointer and gives the page time to see it.
func (p *page) mouse(kind string, at canvas.Point, buttons int) {
	p.t.Helper()
	p.call("Input.dispatchMouseEvent", map[string]any{"type": kind, "x": at[0], "y": at[1], "button": map[bool]string{true: "left", false: "none"}[kind != "mouseMoved" || buttons > 0], "buttons": buttons, "clickCount": 1})
	p.frames()
}

// frames waits until the page has shown two more.
func (p *page) frames() {
	p.t.Helper()
	p.eval("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))")
}

func (p *page) click(at canvas.Point) {
	p.t.Helper()
	p.mouse("mouseMoved", at, 0)
	p.mouse("mousePressed", at, 1)
	p.mouse("mouseReleased", at, 0)
}

// A sitting of work in a browser: take the demo from the samples, drag a sensor, download the layout, and the command
// line reckons for it what the page shows.
func TestWorkInABrowser(t *testing.T) {
	p := visit(t, "?test=1")
	p.until("the editor", func() bool {
		return p.eval("typeof echowright") == "function" && p.eval("echowright('painted', '') > 0") == "true"
	})
	t.Logf("from the page's call to its first frame: %s ms", p.eval("Math.round(echowright('painted', '') - performance.timeOrigin)"))
	p.click(at(t, p, "words", "See a sample"))
	p.click(at(t, p, "words", "shelf-cart.yaml"))
	p.until("the demo", func() bool { return len(told[[]editor.Verdict](t, p, "verdicts", "")) > 0 })
	before := settled(t, p)
	p.shot("demo")

	place := at(t, p, "sensor", "side.left")
	p.mouse("mouseMoved", place, 0)
	p.mouse("mousePressed", place, 1)
	for k := 1.0; k <= 4; k++ {
		p.mouse("mouseMoved", canvas.Point{place[0] - 70*k/4, place[1]}, 1)
	}
	p.mouse("mouseReleased", canvas.Point{place[0] - 70, place[1]}, 0)
	after := settled(t, p)
	p.shot("dragged")
	if after["seen"].Is == before["seen"].Is && after["blind"].Is == before["blind"].Is {
		t.Errorf("the verdicts are still %+v", after)
	}

	dir := t.TempDir()
	p.call("Page.setDownloadBehavior", map[string]any{"behavior": "allow", "downloadPath": dir})
	save := func() {
		for _, kind := range []string{"rawKeyDown", "keyUp"} {
			p.call("Input.dispatchKeyEvent", map[string]any{"type": "rawKeyDown", "key": "Control", "code": "ControlLeft", "modifiers": 2, "windowsVirtualKeyCode": 17})
			p.frames()
			p.call("Input.dispatchKeyEvent", map[string]any{"type": kind, "key": "s", "code": "KeyS", "modifiers": 2, "windowsVirtualKeyCode": 83})
			p.frames()
		}
		p.call("Input.dispatchKeyEvent", map[string]any{"type": "keyUp", "key": "Control", "code": "ControlLeft", "windowsVirtualKeyCode": 17})
	}
	// A key that goes down and up within one slow tick can be missed; a hand would press it again.
	asked := time.Now()
	save()
	file, text := "", told[string](t, p, "text", "")
	p.until("the download", func() bool {
		found, _ := filepath.Glob(filepath.Join(dir, "*.yaml"))
		if len(found) == 0 {
			if time.Since(asked) > 10*time.Second {
				asked = time.Now()
				save()
			}
			return false
		}
		file = found[0]
		saved, err := os.ReadFile(file)
		return err == nil && string(saved) == text
	})
	agree(t, after, file)
}
