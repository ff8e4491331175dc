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
)

const (
	program = "editor.wasm"
	packed  = "editor.wasm.gz"
)

// pack compresses the program once, for browsers that take it so, and says how large it is.
func pack(dir string, out io.Writer) error {
	from, err := os.Open(filepath.Join(dir, program))
	if err != nil {
		return err
	}
	defer from.Close()
	to, err := os.Create(filepath.Join(dir, packed))
	if err != nil {
		return err
	}
	defer to.Close()
	z := gzip.NewWriter(to)
	plain, err := io.Copy(z, from)
	if err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	size, err := to.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "the program is %.1f MB, sent as %.1f MB\n", float64(plain)/1e6, float64(size)/1e6)
	return to.Close()
}

// choose is the file a browser gets for a name.
func choose(w http.ResponseWriter, r *http.Request, name string) string {
	if name != program {
		return name
	}
	w.Header().Set("Vary", "Accept-Encoding")
	for _, way := range strings.Split(r.Header.Get("Accept-Encoding"), ",") {
		kind, weight, _ := strings.Cut(strings.ReplaceAll(way, " ", ""), ";q=")
		if q, err := strconv.ParseFloat(weight, 64); kind == "gzip" && (err != nil || q > 0) {
			w.Header().Set("Content-Encoding", "gzip")
			return packed
		}
	}
	return name
}
