// Package schedulertest holds what every solver of this scheduler is tested against: problems
// whose answer is known, with their source, a brute force that shares no code with any solver,
// and random problems of every kind. Only tests import it.
package schedulertest

import (
	"embed"
	"fmt"
	"strings"

	"echowright/scheduler/instance"
)

// Known is a graph with its published chromatic number.
type Known struct {
	Name      string
	N         int
	Edges     [][2]int
	Chromatic int
	Source    string
}

// Problem gives every vertex the same window.
func (k Known) Problem(windowUs int64) instance.Problem {
	us := make([]int64, k.N)
	for i := range us {
		us[i] = windowUs
	}
	return Windows(k.Name, us, k.Edges)
}

// Windows is a problem of windows and conflicts alone.
func Windows(name string, us []int64, conflicts [][2]int) instance.Problem {
	p := instance.Problem{Name: name, Conflicts: conflicts}
	for _, w := range us {
		p.Jobs = append(p.Jobs, instance.Job{CloseUs: w})
	}
	return p
}

// Ring joins each of n vertices to the next k round a ring.
func Ring(n, k int) [][2]int {
	var e [][2]int
	for i := range n {
		for d := 1; d <= k; d++ {
			e = append(e, [2]int{i, (i + d) % n})
		}
	}
	return e
}

// Path joins each of n vertices to the next k along a line.
func Path(n, k int) [][2]int {
	var e [][2]int
	for i := range n {
		for j := i + 1; j < n && j <= i+k; j++ {
			e = append(e, [2]int{i, j})
		}
	}
	return e
}

// Mycielski builds myciel<k>: chromatic number k+1, no triangle. Mycielski, "Sur le coloriage des
// graphes", Colloquium Mathematicum 3 (1955) 161-162.
func Mycielski(k int) Known {
	n, e := 2, [][2]int{{0, 1}}
	for range k - 1 {
		next := append([][2]int(nil), e...)
		for _, ab := range e {
			next = append(next, [2]int{ab[0], n + ab[1]}, [2]int{ab[1], n + ab[0]})
		}
		for v := range n {
			next = append(next, [2]int{2 * n, n + v})
		}
		n, e = 2*n+1, next
	}
	return Known{fmt.Sprintf("myciel%d", k), n, e, k + 1, "Mycielski 1955"}
}

// Queen joins the squares of an r by c board that are a queen's move apart.
func Queen(r, c, chromatic int) Known {
	var e [][2]int
	for a := range r * c {
		for b := range a {
			di, dj := a/c-b/c, a%c-b%c
			if di == 0 || dj == 0 || di == dj || di == -dj {
				e = append(e, [2]int{b, a})
			}
		}
	}
	return Known{fmt.Sprintf("queen%d_%d", r, c), r * c, e, chromatic, "OEIS A088202; DIMACS collection"}
}

//go:embed testdata/*.col
var files embed.FS

// Dimacs reads one of the stored graphs; see testdata/SOURCE.md.
func Dimacs(name string, chromatic int) (Known, error) {
	data, err := files.ReadFile("testdata/" + name + ".col")
	if err != nil {
		return Known{}, err
	}
	k := Known{Name: name, Chromatic: chromatic, Source: "DIMACS collection, testdata/SOURCE.md"}
	seen := map[[2]int]bool{}
	for line := range strings.Lines(string(data)) {
		var a, b int
		switch {
		case strings.HasPrefix(line, "p"):
			_, err = fmt.Sscanf(line, "p edge %d", &k.N)
			if err != nil {
				_, err = fmt.Sscanf(line, "p col %d", &k.N)
			}
		case strings.HasPrefix(line, "e"):
			_, err = fmt.Sscanf(line, "e %d %d", &a, &b)
			e := [2]int{min(a, b) - 1, max(a, b) - 1}
			if a != b && !seen[e] {
				seen[e] = true
				k.Edges = append(k.Edges, e)
			}
		}
		if err != nil {
			return Known{}, fmt.Errorf("%s: %q: %w", name, line, err)
		}
	}
	return k, nil
}
