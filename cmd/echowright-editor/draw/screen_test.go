package draw

import (
	"errors"
	"flag"
	"fmt"
	"image"
	"os"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"echowright/cmd/echowright-editor/xvfb"
	"echowright/planner/editor/canvas"
	pic "echowright/planner/export/draw"
)

// screen is Ebitengine's loop under the tests: they run beside it and hand it what must be done inside.
type screen struct {
	jobs  chan func()
	over  chan int
	code  int
	paint func(*ebiten.Image)
	drawn int
}

// loop is nil, and missing says why, where there is no X server.
var (
	loop    *screen
	missing string
)

func TestMain(m *testing.M) {
	flag.Parse()
	if flag.Lookup("test.fuzz").Value.String() != "" { // fuzzing runs many processes and needs no pixels
		missing = "no screen while fuzzing"
		os.Exit(m.Run())
	}
	server, err := xvfb.Start()
	if err != nil {
		missing = err.Error()
		os.Exit(m.Run())
	}
	if err := os.Setenv("DISPLAY", server.Display); err != nil {
		panic(err)
	}
	loop = &screen{jobs: make(chan func()), over: make(chan int, 1)}
	ebiten.SetVsyncEnabled(false)
	ebiten.SetTPS(ebiten.SyncWithFPS)
	ebiten.SetWindowSize(1280, 800)
	go func() { loop.over <- m.Run() }()
	if err := ebiten.RunGame(loop); err != nil && !errors.Is(err, ebiten.Termination) {
		fmt.Fprintln(os.Stderr, err)
		loop.code = 1
	}
	server.Stop()
	os.Exit(loop.code)
}

func (s *screen) Layout(w, h int) (int, int) { return w, h }

func (s *screen) Update() error {
	for {
		select {
		case job := <-s.jobs:
			job()
			continue
		case s.code = <-s.over:
			return ebiten.Termination
		case <-time.After(time.Millisecond):
		}
		return nil
	}
}

func (s *screen) Draw(dst *ebiten.Image) {
	s.drawn++
	if s.paint != nil {
		s.paint(dst)
	}
}

// inside runs a job in the loop and waits for it; without a screen the test is skipped.
func inside(t testing.TB, job func()) {
	t.Helper()
	if loop == nil {
		t.Skip(missing)
	}
	done := make(chan struct{})
	loop.jobs <- func() {
		defer close(done)
		job()
	}
	<-done
}

// painted is a frame of shapes painted on w by h pixels, several times over so that what is kept is used as well.
func painted(t *testing.T, w, h int, scale float64, dark bool, layers ...canvas.Layer) *image.RGBA {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	inside(t, func() {
		p, err := New()
		if err != nil {
			t.Error(err)
			return
		}
		dst := ebiten.NewImage(w, h)
		defer dst.Deallocate()
		f := &canvas.Frame{W: float64(w) / scale, H: float64(h) / scale, Layers: layers}
		for range settled + 3 {
			for _, l := range layers {
				for until := time.Now().Add(5 * time.Second); l.Photo != nil && len(l.Photo.Pixels) > 50 && !p.photos.ready(l.Photo) && time.Now().Before(until); {
					time.Sleep(time.Millisecond)
				}
			}
			was := append([]byte(nil), img.Pix...)
			p.Paint(dst, f, scale, dark)
			dst.ReadPixels(img.Pix)
			if p.turn > 1 && differ(was, img.Pix) > 2 { // a kept picture is rounded to bytes once more
				t.Errorf("the frame looks different when it is painted for the %dth time", p.turn)
			}
		}
	})
	return img
}

func differ(a, b []byte) int {
	most := 0
	for i := range a {
		most = max(most, int(a[i])-int(b[i]), int(b[i])-int(a[i]))
	}
	return most
}

func rgb(img *image.RGBA, x, y int) pic.RGB {
	c := img.RGBAAt(x, y)
	return pic.RGB{c.R, c.G, c.B}
}

func tone(ink pic.Ink, dark bool) pic.RGB { return inksOf(dark)[ink] }
