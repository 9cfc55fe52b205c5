package car

import (
	"slices"
	"strconv"
	"unicode/utf8"
)

// nearest finds the known key that is most like k: in the same table if one is
// near, else in another. It gives "" when nothing is near.
func nearest(k string, known map[string]spelling, fields []field, table string) string {
	if best, ok := nearestOf(k, keysOf(known)); ok {
		return strconv.Quote(best)
	}
	var tables []string
	for i := range fields {
		if t := fields[i].table; t != table && !slices.Contains(tables, t) {
			tables = append(tables, t)
		}
	}
	bestKey, bestTable, bestD := "", "", len(k)
	for _, t := range tables {
		if best, ok := nearestOf(k, keysOf(spellings(fields, t))); ok {
			if d := distance(k, best); d < bestD {
				bestKey, bestTable, bestD = best, t, d
			}
		}
	}
	if bestKey == "" {
		return ""
	}
	if bestTable == "" {
		return strconv.Quote(bestKey) + " at the top of the file"
	}
	return strconv.Quote(bestKey) + " in [" + bestTable + "]"
}

func keysOf(m map[string]spelling) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// nearestOf picks the candidate with the fewest changed letters, if these are at
// most a third of the key.
func nearestOf(k string, candidates []string) (best string, ok bool) {
	if len(k) > 60 {
		return "", false
	}
	bestD := len(k)/3 + 1
	n := utf8.RuneCountInString(k)
	for _, c := range candidates {
		if m := utf8.RuneCountInString(c); m-n >= bestD || n-m >= bestD {
			continue // so many letters are missing or too many
		}
		if d := distance(k, c); d < bestD {
			best, bestD, ok = c, d, true
		}
	}
	return best, ok
}

// distance counts the letters to insert, delete, change or swap with a
// neighbour to make b of a (optimal string alignment, a restriction of
// Damerau's and Levenshtein's distance).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	var before []int
	last := make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row := make([]int, len(y)+1)
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
		before, last = last, row
	}
	return last[len(y)]
}
