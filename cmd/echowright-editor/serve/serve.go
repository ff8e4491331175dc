//go:build !js

// Package serve builds the editor for a browser and hands it out on this machine only. In: an address. Out: a page,
// until the context ends.
package serve

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// Run builds the editor with the go command and serves it until ctx ends; it prints where.
func Run(ctx context.Context, addr string, out io.Writer) error {
	if err := loopback(addr); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "echowright-editor-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	fmt.Fprintln(out, "building for the browser; the first time takes about a minute")
	if err := build(ctx, dir); err != nil {
		return err
	}
	if err := pack(dir, out); err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return AddressError{err.Error()}
	}
	return hand(ctx, l, dir, out)
}

// loopback refuses every address that others could reach.
func loopback(addr string) error {
	host, port, err := net.SplitHostPort(addr)
	if err != nil || port == "" {
		return AddressError{fmt.Sprintf("-serve %q is no address; give one of this machine, such as 127.0.0.1:0", addr)}
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return AddressError{fmt.Sprintf("-serve %q: others could reach it; give an address of this machine alone, such as 127.0.0.1:0", addr)}
	}
	return nil
}

const command = "echowright/cmd/echowright-editor"

// build puts the program and Go's own starter for it into dir.
func build(ctx context.Context, dir string) error {
	root, err := output(ctx, "go", "env", "GOROOT")
	if err != nil {
		return fmt.Errorf("the go command is needed to build for a browser: %w", err)
	}
	starter, err := os.ReadFile(filepath.Join(strings.TrimSpace(root), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, "wasm_exec.js"), starter, 0o644); err != nil {
		return err
	}
	c := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags", "-s -w", "-o", filepath.Join(dir, program), command)
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := c.CombinedOutput(); err != nil {
		return fmt.Errorf("cannot be built here; call it inside the project's folder:\n%s", strings.TrimSpace(string(said)))
	}
	return nil
}

func output(ctx context.Context, words ...string) (string, error) {
	b, err := exec.CommandContext(ctx, words[0], words[1:]...).Output()
	return string(b), err
}

// hand serves the folder and the page until ctx ends.
func hand(ctx context.Context, l net.Listener, dir string, out io.Writer) error {
	s := &http.Server{Handler: handler(dir), ReadHeaderTimeout: 10 * time.Second}
	fmt.Fprintf(out, "http://%s/\n", l.Addr())
	done := make(chan error, 1)
	go func() { done <- s.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(context.WithoutCancel(ctx), 2*time.Second)
	defer cancel()
	_ = s.Shutdown(end)
	if err := <-done; !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// page starts the program on the whole of the window.
const page = `<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Echowright</title>
<link rel="icon" href="data:,">
<style>html,body{margin:0;height:100%;overflow:hidden;background:#F3EFE6;color:#1F2E3A;font:14px sans-serif;touch-action:none}p{margin:2em}</style>
<p>The editor is on its way.</p>
<script src="wasm_exec.js"></script>
<script>
const go = new Go(), say = t => {
	document.querySelectorAll("canvas").forEach(c => c.remove());
	document.body.style.background = "";
	document.querySelector("p").textContent = t;
	document.querySelector("p").hidden = false;
};
WebAssembly.instantiateStreaming(fetch("editor.wasm"), go.importObject)
	.then(r => { document.querySelector("p").hidden = true; return go.run(r.instance); })
	.then(() => say("The editor has ended. If you did not end it, the browser cannot show it (it needs WebGL 2). Load the page again to begin anew."))
	.catch(e => say("The editor cannot start in this browser: " + e));
</script>
</html>
`

// handler answers to this machine's own names only, so that no page from elsewhere reaches it under a name of its own.
func handler(dir string) http.Handler {
	types := map[string]string{program: "application/wasm", "wasm_exec.js": "text/javascript; charset=utf-8"}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host, _, err := net.SplitHostPort(r.Host)
		if err != nil { // no port is said where it is the usual one
			host = strings.Trim(r.Host, "[]")
		}
		if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
			http.Error(w, "not for this name", http.StatusForbidden)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			http.Error(w, "only to be read", http.StatusMethodNotAllowed)
			return
		}
		h := w.Header()
		h.Set("Cache-Control", "no-store")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Content-Security-Policy", "frame-ancestors 'none'")
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			h.Set("Content-Type", "text/html; charset=utf-8")
			_, _ = io.WriteString(w, page)
			return
		}
		kind, ok := types[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		h.Set("Content-Type", kind)
		http.ServeFile(w, r, filepath.Join(dir, choose(w, r, name)))
	})
}
