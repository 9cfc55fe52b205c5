package csv

// mostBlankWord is the longest word that can stand for a blank cell, bytes.
const mostBlankWord = 24

// blankWords finds the words by which a file says "no value", whatever they are:
// a word that comes again and again among the numbers of two columns or more. The
// words of a channel that speaks in words (a gear's N) keep to their own column. kinds is what
// the cells are, as read with the words that d already has.
func blankWords(lines [][][]byte, d *dialect) (blanks map[string]bool, kinds [][]sort) {
	type place struct {
		word string
		col  int
	}
	seen := map[place]int{}
	numbers := map[int]int{}
	kinds = make([][]sort, len(lines))
	for i, cells := range lines {
		kinds[i] = make([]sort, len(cells))
		for k, c := range cells {
			kind, _, _, text := parseCell(c, d)
			kinds[i][k] = kind
			switch kind {
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
	for w, n := range columns {
		if n >= 2 {
			if blanks == nil {
				blanks = map[string]bool{}
			}
			blanks[w] = true
		}
	}
	return blanks, kinds
}
