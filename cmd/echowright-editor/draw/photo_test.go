package draw

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"
)

// A photo too large for a texture is made smaller by a whole number, each pixel the mean of those it stands for.
func TestLargePhotosAreMadeSmaller(t *testing.T) {
	src := image.NewNRGBA(image.Rect(0, 0, 2*largestSide+100, 7))
	for i := range src.Pix {
		src.Pix[i] = uint8(i * 37 >> 3)
		if i%4 == 3 {
			src.Pix[i] = 255
		}
	}
	small := shrink(src, 3)
	if got, want := small.Rect.Size(), image.Pt((2*largestSide+100)/3, 2); got != want {
		t.Fatalf("made %v, want %v", got, want)
	}
	for _, p := range []image.Point{{}, {1, 1}, {1234, 0}, {small.Rect.Dx() - 1, 1}} {
		var sum [3]int
		for y := range 3 {
			for x := range 3 {
				c := src.NRGBAAt(3*p.X+x, 3*p.Y+y)
				sum[0], sum[1], sum[2] = sum[0]+int(c.R), sum[1]+int(c.G), sum[2]+int(c.B)
			}
		}
		want := color.RGBA{uint8((sum[0] + 4) / 9), uint8((sum[1] + 4) / 9), uint8((sum[2] + 4) / 9), 255}
		if got := small.RGBAAt(p.X, p.Y); got != want {
			t.Errorf("pixel %v is %v, want %v", p, got, want)
		}
	}
	for side, factor := range map[int]float64{100: 1, largestSide: 1, largestSide + 1: 2, 2*largestSide + 1: 3} {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 8, side)), nil); err != nil {
			t.Fatal(err)
		}
		if img, n, err := decode(b.Bytes()); err != nil || n != factor || img.Bounds().Dy() > largestSide {
			t.Errorf("a side of %d: a pixel stands for %g", side, n)
		}
	}
}

// A picture that cannot be read is told once, with its version, and never one that another has taken the place of.
func TestPicturesThatCannotBeReadAreTold(t *testing.T) {
	var whole bytes.Buffer
	noise := image.NewGray(image.Rect(0, 0, 200, 200))
	for i := range noise.Pix {
		noise.Pix[i] = uint8(i * i >> 3)
	}
	if err := png.Encode(&whole, noise); err != nil {
		t.Fatal(err)
	}
	spoilt := bytes.Clone(whole.Bytes())
	spoilt[len(spoilt)/2] ^= 0xFF
	var jpg bytes.Buffer
	if err := jpeg.Encode(&jpg, noise, nil); err != nil {
		t.Fatal(err)
	}
	for want, data := range map[string][]byte{
		"its file breaks off": whole.Bytes()[:whole.Len()/2], "it is damaged": spoilt, "unknown format": []byte("no picture"), "breaks off": jpg.Bytes()[:jpg.Len()/2],
	} {
		ps := &photos{version: 7}
		ps.decode(data, 6)
		if _, why := ps.takeWhy(); why != "" {
			t.Errorf("%q is told of a picture that is gone", why)
		}
		ps.decode(data, 7)
		if version, why := ps.takeWhy(); version != 7 || !strings.Contains(why, want) {
			t.Errorf("of %d: %q, want %q", version, why, want)
		}
		if _, why := ps.takeWhy(); why != "" || ps.read != nil {
			t.Errorf("told again: %q", why)
		}
	}
	ps := &photos{version: 1}
	if ps.decode(whole.Bytes(), 1); ps.read == nil {
		t.Error("the whole picture is not read")
	}
}
