package csv

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// eightBit are the codes of one byte a sign, in the order in which they are preferred,
// with the letters that their languages write beyond a to z.
var eightBit = []struct {
	name    string
	code    *charmap.Charmap
	letters string
}{
	{"Windows-1252", charmap.Windows1252, western},
	{"Windows-1250", charmap.Windows1250, central},
	{"Mac OS Roman", charmap.Macintosh, western},
	{"code page 850", charmap.CodePage850, western},
	{"ISO 8859-2", charmap.ISO8859_2, central},
	{"code page 852", charmap.CodePage852, central},
	{"Windows-1251", charmap.Windows1251, cyrillic},
}

// Letters of German, French, Spanish, Portuguese, Italian, Dutch and the languages of the
// North; of Polish, Czech, Slovak, Hungarian and German; and of Russian.
const (
	western  = "äöüßéèêëàâçîïôûùñóíáúãõìòåæøýœ"
	central  = "ąćęłńóśźżáčďéěíňřšťúůýžäöüßőűľĺŕôç"
	cyrillic = "абвгдеёжзийклмнопрстуфхцчшщъыьэюя"
)

// leastLead is how many signs more than the usual code another must explain: one byte
// that is a letter in the one and none in the other makes two.
const leastLead = 2

// guessEightBit decides for the code in which bytes beyond ASCII are letters where words
// have letters, small among small ones, and the sign of degrees where units have it.
func guessEightBit(b []byte) charset {
	best, lead := 0, 0
	usual := explained(b, eightBit[0].code, eightBit[0].letters)
	for k := 1; k < len(eightBit); k++ {
		if d := explained(b, eightBit[k].code, eightBit[k].letters) - usual; d >= leastLead && d > lead {
			best, lead = k, d
		}
	}
	return charset{eightBit[best].name, eightBit[best].code}
}

// explained counts the bytes beyond ASCII that a code makes a fitting sign of, less those
// of which it makes none.
func explained(b []byte, code *charmap.Charmap, letters string) int {
	n := 0
	for i, c := range b {
		if c < 0x80 {
			continue
		}
		r := code.DecodeByte(c)
		before, after := neighbour(b, i-1, code), neighbour(b, i+1, code)
		inWord := unicode.IsLetter(before) && unicode.IsLetter(after)
		small := unicode.ToLower(r)
		isLetter := small != utf8.RuneError && strings.ContainsRune(letters, small)
		switch {
		case unicode.Is(unicode.Cyrillic, r) && (unicode.Is(unicode.Latin, before) || unicode.Is(unicode.Latin, after)):
			n--
		case r == '’' && inWord, !inWord && strings.ContainsRune("²³µ", r):
			n++
		case isLetter && unicode.IsUpper(r) && unicode.IsLower(before) && unicode.IsLower(after), isLetter && unicode.IsLower(r) && unicode.IsUpper(after):
			n--
		case isLetter && (inWord || unicode.IsLetter(after) && before != '[' && before != '(' || unicode.IsLetter(before)):
			n++
		case r == '°' && (after == 'C' || after == 'F' || !unicode.IsLetter(after)):
			n++
		case inWord, unicode.IsLetter(r) && (unicode.IsLetter(before) || unicode.IsLetter(after)):
			n--
		}
	}
	return n
}

// neighbour is the sign at a byte's place, 0 beyond the ends.
func neighbour(b []byte, i int, code *charmap.Charmap) rune {
	if i < 0 || i >= len(b) {
		return 0
	}
	return code.DecodeByte(b[i])
}
