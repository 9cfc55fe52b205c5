package csv

import "bytes"

// respelt writes a number as spreadsheets and typesetters print it in the signs
// that parseCell knows: a minus sign of its own (U+2212), blanks between groups of
// three digits (the wide, the narrow and the unbroken one), a negative number in
// parentheses or with the minus behind it as bookkeepers write it, and ="1.5", which keeps a spreadsheet from
// reading a date. nil when b is nothing of the kind.
func respelt(b []byte) []byte {
	s := b
	if n := len(s); n > 3 && s[0] == '=' && s[1] == '"' && s[n-1] == '"' {
		s = s[2 : n-1]
	}
	s = bytes.Replace(s, []byte("\u2212"), []byte("-"), 1)
	if n := len(s); n > 2 && s[0] == '(' && s[n-1] == ')' && digitsAndMarks(s[1:n-1]) {
		s = append([]byte{'-'}, s[1:n-1]...)
	}
	if n := len(s); n > 1 && s[n-1] == '-' && s[0]-'0' < 10 && digitsAndMarks(s[:n-1]) {
		s = append([]byte{'-'}, s[:n-1]...)
	}
	s = ungrouped(s)
	if len(s) == len(b) && bytes.Equal(s, b) {
		return nil
	}
	return s
}

// digitsAndMarks says whether nothing but an unsigned number stands there.
func digitsAndMarks(b []byte) bool {
	for _, c := range b {
		if c-'0' >= 10 && !isOneOf(c, '.', ',') {
			return false
		}
	}
	return true
}

// groupBlanks stand between groups of digits: ISO 80000-1 asks for a small space.
// The last is the unbroken blank of the eight-bit codes.
var groupBlanks = [][]byte{[]byte("\u202f"), []byte("\u2009"), []byte("\u00a0"), []byte(" "), {0xA0}}

// ungrouped takes the blanks out of a number that is grouped by them: at most
// three digits in front, three in each group. Anything else comes back as it is.
func ungrouped(b []byte) []byte {
	for _, blank := range groupBlanks {
		parts := bytes.Split(b, blank)
		if len(parts) < 2 {
			continue
		}
		for i, p := range parts {
			if i == 0 {
				p = bytes.TrimLeft(p, "+-")
			}
			if i == len(parts)-1 { // decimals behind the last group
				if k := bytes.IndexAny(p, ".,"); k >= 0 && digitsAndMarks(p) {
					p = p[:k]
				}
			}
			if len(p) == 0 || len(p) > 3 || i > 0 && len(p) != 3 || len(bytes.Trim(p, "0123456789")) > 0 {
				return b
			}
		}
		return bytes.Join(parts, nil)
	}
	return b
}
