package word

import "strings"

// Nearest returns the candidate that word is most likely a slip of the pen for, or "" when none is near. Near is one
// slip (a letter wrong, missing, too many, or two exchanged) for words to four letters, two for longer ones; a difference
// in case alone always counts as near. The first of equals wins.
func Nearest(word string, candidates []string) string {
	for _, c := range candidates {
		if strings.EqualFold(word, c) {
			return c
		}
	}
	if len(word) > 40 {
		return ""
	}
	best, least := "", 1+allowedSlips(word)
	for _, c := range candidates {
		if n := slips(strings.ToLower(word), strings.ToLower(c)); n < least && n < len([]rune(c)) {
			best, least = c, n
		}
	}
	return best
}

func allowedSlips(word string) int {
	if len([]rune(word)) <= 4 {
		return 1
	}
	return 2
}

// slips is the optimal string alignment distance: insertions, deletions, substitutions and exchanges of neighbours.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			n := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				n = min(n, rows[i-2][j-2]+1)
			}
			rows[i][j] = n
		}
	}
	return rows[len(x)][len(y)]
}
