package sheet

import "unicode/utf8"

// Nearest returns the candidate nearest to word by edit distance, or "" when
// none is near enough to be meant: within a third of the word, at least one
// step (common practice). Of two equally near the earlier one is taken.
func Nearest(word string, candidates []string) string {
	best, bestAt := "", max(1, utf8.RuneCountInString(word)/3)+1
	for _, c := range candidates {
		if d := distance(word, c); d < bestAt {
			best, bestAt = c, d
		}
	}
	return best
}

// distance is the number of letters to insert, delete, replace or swap with
// their neighbour to turn a into b (Damerau's restricted edit distance). Only
// the first 64 letters count, so that a long key costs nothing.
func distance(a, b string) int {
	x, y := clip([]rune(a)), clip([]rune(b))
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(y)]
}

func clip(r []rune) []rune { return r[:min(len(r), 64)] }
