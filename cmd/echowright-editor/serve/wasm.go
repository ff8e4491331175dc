//go:build !js

package serve

import (
	"compress/gzip"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/andybalholm/brotli"
)

const program = "editor.wasm"

// packings are the forms the program is sent in, the smallest first; each file is named after the program.
var packings = []struct {
	encoding string
	packer   func(io.Writer) io.WriteCloser
}{
	{"br", func(w io.Writer) io.WriteCloser { return brotli.NewWriterLevel(w, 6) }}, // higher levels win a twentieth and take minutes
	{"gzip", func(w io.Writer) io.WriteCloser { return gzip.NewWriter(w) }},
}

// pack compresses the program once, for browsers that take it so, and says how large it is.
func pack(dir string, out io.Writer) error {
	plain, err := os.ReadFile(filepath.Join(dir, program))
	if err != nil {
		return err
	}
	var sizes []string
	for _, p := range packings {
		size, err := packed(filepath.Join(dir, program+"."+p.encoding), plain, p.packer)
		if err != nil {
			return err
		}
		sizes = append(sizes, fmt.Sprintf("%.1f MB (%s)", float64(size)/1e6, p.encoding))
	}
	fmt.Fprintf(out, "the program is %.1f MB, sent as %s\n", float64(len(plain))/1e6, strings.Join(sizes, " or "))
	return nil
}

func packed(name string, plain []byte, packer func(io.Writer) io.WriteCloser) (size int64, err error) {
	to, err := os.Create(name)
	if err != nil {
		return 0, err
	}
	defer to.Close()
	z := packer(to)
	if _, err := z.Write(plain); err != nil {
		return 0, err
	}
	if err := z.Close(); err != nil {
		return 0, err
	}
	if size, err = to.Seek(0, io.SeekEnd); err != nil {
		return 0, err
	}
	return size, to.Close()
}

// choose is the file a browser gets for a name.
func choose(w http.ResponseWriter, r *http.Request, name string) string {
	if name != program {
		return name
	}
	w.Header().Set("Vary", "Accept-Encoding")
	for _, p := range packings {
		if takes(r, p.encoding) {
			w.Header().Set("Content-Encoding", p.encoding)
			return program + "." + p.encoding
		}
	}
	return name
}

// takes reports whether a request takes an encoding.
func takes(r *http.Request, encoding string) bool {
	for _, way := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		kind, weight, _ := strings.Cut(strings.ReplaceAll(way, " ", ""), ";q=")
		if q, err := strconv.ParseFloat(weight, 64); kind == encoding && (err != nil || q > 0) {
			return true
		}
	}
	return false
}
