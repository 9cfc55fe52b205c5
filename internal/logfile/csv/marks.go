package csv

// decimalMark tells which mark a cell that looks like a decimal number uses, 0
// for none.
func decimalMark(c []byte) byte {
	var mark byte
	marks := 0
	for i, b := range c {
		switch {
		case b == '.' || b == ',':
			mark = b
			marks++
		case b-'0' < 10, i == 0 && (b == '-' || b == '+'):
		case b|0x20 == 'e' && i > 0:
			return mark
		default:
			if marks == 1 && i > 1 && !isOneOf(b, ':', '-', '/') {
				return mark // a unit behind it
			}
			return 0
		}
	}
	if marks != 1 {
		return 0
	}
	return mark
}

// dateOrder finds how dates of the form a/b/c are to be read, from a number
// above 12 where there is one, else from the mark between them: a slash is taken
// for the month first.
func dateOrder(rows [][][]byte) order {
	found := dayFirst
	for _, cells := range rows {
		for _, c := range cells {
			c = trimCell(c)
			if len(c) < 6 || c[0]-'0' >= 10 {
				continue
			}
			a, i := leadingInt(c)
			if i > 2 || i == len(c) || !isOneOf(c[i], '/', '.', '-') {
				continue
			}
			mark := c[i]
			b, j := leadingInt(c[i+1:])
			if j == 0 || j > 2 || i+1+j >= len(c) || c[i+1+j] != mark {
				continue
			}
			switch {
			case a > 12 && a <= 31 && b <= 12:
				return dayFirst
			case b > 12 && b <= 31 && a <= 12:
				return monthFirst
			}
			found = dayFirst
			if mark == '/' {
				found = monthFirst
			}
		}
	}
	return found
}

func leadingInt(b []byte) (n, width int) {
	for width < len(b) && b[width]-'0' < 10 {
		n = min(n*10+int(b[width]-'0'), 1<<20)
		width++
	}
	return n, width
}
