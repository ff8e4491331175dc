package diag

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// longestQuote bounds what a message repeats of the user's text, in characters.
const longestQuote = 40

// Quote returns s in double quotes, shortened and with unprintable characters escaped.
func Quote(s string) string {
	if utf8.RuneCountInString(s) > longestQuote {
		s = string([]rune(s)[:longestQuote-1]) + "…"
	}
	return strconv.Quote(s)
}

// Join lists words as "a, b or c".
func Join(words []string) string {
	switch n := len(words); n {
	case 0:
		return ""
	case 1:
		return words[0]
	default:
		return strings.Join(words[:n-1], ", ") + " or " + words[n-1]
	}
}

// Nearest returns the word of known that is most likely meant by the misspelt word, or "" when
// none is near: at most a third of its letters (at least one) inserted, dropped, changed or swapped
// with a neighbour, letter case and hyphens against spaces or underscores not counted. Of equally near words the first of known wins.
func Nearest(word string, known []string) string {
	if utf8.RuneCountInString(word) > 4*longestQuote {
		return ""
	}
	w := fold(word)
	best, bestCost := "", 0
	for _, k := range known {
		f := fold(k)
		cost := edits(w, f)
		if cost > max(1, max(len(w), len(f))/3) || (len(f) <= 2 && cost >= len(f)) {
			continue
		}
		if best == "" || cost < bestCost {
			best, bestCost = k, cost
		}
	}
	return best
}

func fold(s string) []rune {
	return []rune(strings.NewReplacer("_", "-", " ", "-").Replace(strings.ToLower(s)))
}

// edits is the optimal string alignment distance: insertions, deletions, changes and swaps of neighbours.
func edits(a, b []rune) int {
	before := make([]int, len(b)+1)
	row := make([]int, len(b)+1)
	next := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		next[0] = i
		for j := 1; j <= len(b); j++ {
			change := row[j-1]
			if a[i-1] != b[j-1] {
				change++
			}
			next[j] = min(change, row[j]+1, next[j-1]+1)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
		}
		before, row, next = row, next, before
	}
	return row[len(b)]
}
