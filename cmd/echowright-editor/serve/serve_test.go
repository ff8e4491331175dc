//go:build !js

package serve

import (
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/andybalholm/brotli"
)

func TestOnlyThisMachineIsServed(t *testing.T) {
	for addr, ok := range map[string]bool{
		"127.0.0.1:0": true, "localhost:8080": true, "[::1]:0": true, "127.3.2.1:99": true,
		":8080": false, "0.0.0.0:80": false, "[::]:80": false, "192.168.1.4:80": false, "example.org:80": false, "localhost": false, "": false, "127.0.0.1:": false,
	} {
		var bad AddressError
		if err := loopback(addr); (err == nil) != ok || (err != nil && !errors.As(err, &bad)) {
			t.Errorf("%q: %v", addr, err)
		}
	}
	if err := Run(context.Background(), "0.0.0.0:0", io.Discard); err == nil {
		t.Error("served to everybody")
	}
}

// Each file is handed out with its type; nothing else is, and not under another name of this machine.
func TestFilesHaveTheirTypes(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{"editor.wasm": "\x00asm", "wasm_exec.js": "go", "secret": "s"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	h := handler(dir)
	for _, c := range []struct {
		host, path, kind string
		status           int
	}{
		{"127.0.0.1:4000", "/", "text/html; charset=utf-8", 200},
		{"localhost", "/", "text/html; charset=utf-8", 200},
		{"[::1]:4000", "/editor.wasm", "application/wasm", 200},
		{"localhost:4000", "/wasm_exec.js", "text/javascript; charset=utf-8", 200},
		{"localhost:4000", "/secret", "", 404},
		{"localhost:4000", "/../secret", "", 404},
		{"elsewhere.example:4000", "/", "", 403},
	} {
		r := httptest.NewRequest(http.MethodGet, "/", nil)
		r.Host, r.URL.Path = c.host, c.path
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != c.status || (c.kind != "" && w.Header().Get("Content-Type") != c.kind) {
			t.Errorf("%s%s: %d %q", c.host, c.path, w.Code, w.Header().Get("Content-Type"))
		}
	}
	w := httptest.NewRecorder()
	r := httptest.NewRequest(http.MethodPost, "http://localhost:1/", nil)
	if h.ServeHTTP(w, r); w.Code != http.StatusMethodNotAllowed {
		t.Errorf("POST: %d", w.Code)
	}
}

// A browser gets the program in the smallest form it takes, any other gets it plain; all get the same bytes in the end.
func TestTheProgramIsSentSmall(t *testing.T) {
	dir, plain := t.TempDir(), bytes.Repeat([]byte("\x00asm, over and over. "), 5000)
	if err := os.WriteFile(filepath.Join(dir, program), plain, 0o600); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	if err := pack(dir, &said); err != nil || said.String() != "the program is 0.1 MB, sent as 0.0 MB (br) or 0.0 MB (gzip)\n" {
		t.Fatalf("%q, %v", said.String(), err)
	}
	for accept, want := range map[string]string{
		"gzip": "gzip", "br, gzip;q=0.8, *": "br", "gzip, deflate, br, zstd": "br", "deflate,gzip": "gzip", "": "", "br": "br", "gzip;q=0": "", "gzip;q=0.0, br": "br", "br;q=0, gzip": "gzip", "xgzip": "",
	} {
		r := httptest.NewRequest(http.MethodGet, "http://localhost:1/editor.wasm", nil)
		r.Header.Set("Accept-Encoding", accept)
		w := httptest.NewRecorder()
		handler(dir).ServeHTTP(w, r)
		body, h := w.Body.Bytes(), w.Header()
		if h.Get("Content-Encoding") != want || (len(body) < len(plain)/10) != (want != "") || h.Get("Content-Type") != "application/wasm" || h.Get("Vary") != "Accept-Encoding" {
			t.Errorf("%q: %d bytes, %v", accept, len(body), h)
		}
		var z io.Reader = bytes.NewReader(body)
		switch want {
		case "br":
			z = brotli.NewReader(z)
		case "gzip":
			var err error
			if z, err = gzip.NewReader(z); err != nil {
				t.Fatal(err)
			}
		}
		if body, err := io.ReadAll(z); err != nil || !bytes.Equal(body, plain) {
			t.Errorf("%q: other bytes, %v", accept, err)
		}
	}
}

// The address is printed, answers, and ends with the context.
func TestServingEnds(t *testing.T) {
	if testing.Short() {
		t.Skip("builds for a browser")
	}
	ctx, cancel := context.WithTimeout(context.Background(), 4*time.Minute)
	defer cancel()
	r, w := io.Pipe()
	done := make(chan error, 1)
	go func() {
		err := Run(ctx, "127.0.0.1:0", w)
		w.CloseWithError(io.EOF)
		done <- err
	}()
	var said bytes.Buffer
	buf := make([]byte, 200)
	at := ""
	for at == "" {
		n, err := r.Read(buf)
		if said.Write(buf[:n]); err != nil {
			t.Fatalf("%v after %q: %v", err, said.String(), <-done)
		}
		at = regexp.MustCompile(`http://127\.0\.0\.1:\d+/`).FindString(said.String())
	}
	res, err := http.Get(at + "editor.wasm")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	head := make([]byte, 4)
	if _, err := io.ReadFull(res.Body, head); err != nil || string(head) != "\x00asm" {
		t.Errorf("%q, %v", head, err)
	}
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
}
