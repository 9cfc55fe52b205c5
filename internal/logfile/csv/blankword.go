package csv

// mostBlankWord is the longest word that can stand for a blank cell, bytes.
const mostBlankWord = 24

// blankWords finds the words by which a file says "no value", whatever they are:
// a word that comes again and again among the numbers of two columns or more. The
// words of a channel that speaks in words (a gear's N) keep to their own column.
func blankWords(lines [][][]byte, d *dialect) map[string]bool {
	type place struct {
		word string
		col  int
	}
	seen := map[place]int{}
	numbers := map[int]int{}
	for _, cells := range lines {
		for k, c := range cells {
			switch kind, _, _, text := parseCell(c, d); kind {
			case plain, withUnit:
				numbers[k]++
			case word:
				if len(text) <= mostBlankWord {
					seen[place{string(text), k}]++
				}
			}
		}
	}
	columns := map[string]int{}
	for p, n := range seen {
		if n >= 3 && numbers[p.col] >= 3 {
			columns[p.word]++
		}
	}
	var out map[string]bool
	for w, n := range columns {
		if n >= 2 {
			if out == nil {
				out = map[string]bool{}
			}
			out[w] = true
		}
	}
	return out
}
