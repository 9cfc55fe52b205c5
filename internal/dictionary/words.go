package dictionary

import (
	"regexp"
	"strings"
	"unicode"
)

// A word is a piece of a channel's name with what it may mean.
type word struct {
	text   string // folded
	senses []sense
	number int // of digits; -1 when none
	// weak words were guessed from a beginning or by one wrong letter.
	weak bool
}

var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ß", "ss", "å", "aa", "ø", "oe", "æ", "ae")

var plainLetters = map[rune]string{
	'ß': "ss", 'ø': "o", 'æ': "ae", 'œ': "oe", 'ł': "l", 'đ': "d", 'ı': "i",
	'à': "a", 'á': "a", 'â': "a", 'ã': "a", 'ä': "a", 'å': "a", 'ą': "a", 'ç': "c", 'č': "c", 'ć': "c", 'ď': "d",
	'è': "e", 'é': "e", 'ê': "e", 'ë': "e", 'ę': "e", 'ě': "e", 'ì': "i", 'í': "i", 'î': "i", 'ï': "i", 'ñ': "n", 'ń': "n", 'ň': "n",
	'ò': "o", 'ó': "o", 'ô': "o", 'õ': "o", 'ö': "o", 'ř': "r", 'ś': "s", 'š': "s", 'ť': "t", 'ù': "u", 'ú': "u", 'û': "u", 'ü': "u", 'ů': "u",
	'ý': "y", 'ÿ': "y", 'ź': "z", 'ż': "z", 'ž': "z", 'ё': "е",
}

// foldWord brings a word to small letters without marks.
func foldWord(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		if p, ok := plainLetters[r]; ok {
			b.WriteString(p)
		} else if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// foldings are the plain spellings of a word: "kühl" gives kuhl and kuehl.
func foldings(s string) []string {
	a := foldWord(s)
	if b := foldWord(umlauts.Replace(strings.ToLower(s))); b != a {
		return []string{a, b}
	}
	return []string{a}
}

// elision is a French or Italian article that has lost its vowel.
var elision = regexp.MustCompile(`(?i)\b(?:d|l|dell|all|nell)['’]`)

// hyphened are two words with a hyphen between them.
var hyphened = regexp.MustCompile(`\pL+-\pL+`)

// unhyphen leaves the hyphen out where the lexicon knows both words as one ("Blow-by").
func unhyphen(s string) string {
	whole := strings.Replace(s, "-", "", 1)
	if _, ok := folded()[foldWord(whole)]; ok {
		return whole
	}
	return s
}

// perMinute is a unit within a name, no least value.
var perMinute = regexp.MustCompile(`(?i)(?:\b1\s*)?/\s*min\b`)

// joined are signs inside abbreviations.
var joined = strings.NewReplacer("A/F", "AFR", "a/f", "afr", "Air/Fuel", "AFR", "air/fuel", "afr", "T/C", "TC", "t/c", "tc", "W/G", "WG", "w/g", "wg")

// digitWords are words that hold digits.
var digitWords = map[string]bool{"n2o": true, "o2": true, "wbo2": true, "h2o": true, "e85": true, "p3": true, "tps1": true, "mct2": true}

// capitalCodes are codes of wheels that in small letters are articles.
var capitalCodes = map[string]sense{"DE": setOf(fFront, fLeft)} // dianteira esquerda

// splitName cuts a channel's name into words and numbers.
func splitName(name string) []word {
	var out []word
	if short := perMinute.ReplaceAllString(name, " "); strings.TrimSpace(short) != "" {
		name = short
	}
	name = joined.Replace(name)
	name = hyphened.ReplaceAllStringFunc(elision.ReplaceAllString(name, " "), unhyphen)
	for _, token := range tokens(name) {
		f := foldWord(token)
		if f == "" {
			continue
		}
		if s, ok := capitalCodes[token]; ok {
			out = append(out, word{text: f, senses: []sense{s}, number: -1})
			continue
		}
		if n, ok := wholeNumber(f); ok {
			out = append(out, word{text: f, number: n})
			continue
		}
		if strings.Contains(name, token+".") {
			f += "."
		}
		out = append(out, understand(f)...)
	}
	return joinPairs(out)
}

// tokens cuts at everything but letters and digits, between letters and digits,
// and where a small letter is followed by a capital.
func tokens(name string) []string {
	var out []string
	var cur []rune
	flush := func() {
		if len(cur) > 0 {
			out = append(out, string(cur))
			cur = cur[:0]
		}
	}
	rs := []rune(name)
	for i, r := range rs {
		isDigit := unicode.IsDigit(r)
		if !unicode.IsLetter(r) && !isDigit && !unicode.Is(unicode.Mn, r) {
			flush()
			continue
		}
		if len(cur) > 0 {
			p := rs[i-1]
			switch {
			case unicode.IsDigit(p) != isDigit:
				if !beginsDigitWord(string(cur), string(rs[i:])) {
					flush()
				}
			case isEastAsian(p) != isEastAsian(r):
				flush()
			case unicode.IsLower(p) && unicode.IsUpper(r):
				flush()
			case unicode.IsUpper(p) && unicode.IsUpper(r) && i+1 < len(rs) && unicode.IsLower(rs[i+1]) && len(cur) > 1:
				if !capitalsEnd(rs, i, len(cur)) {
					flush() // "EGTBank" → EGT Bank
				}
			case unicode.IsUpper(p) && unicode.IsLower(r) && len(cur) > 2:
				flush() // "GPSspeed" → GPS speed
			}
		}
		cur = append(cur, r)
	}
	flush()
	return out
}

// capitalsEnd says whether the capitals that end with the i-th sign, before are
// read already, are one known abbreviation with a word in small letters behind it
// ("GPSspeed"), where cutting before the last capital leaves no known word.
func capitalsEnd(rs []rune, i, before int) bool {
	end := i + 1
	for end < len(rs) && unicode.IsLower(rs[end]) {
		end++
	}
	known := func(part []rune) bool {
		_, ok := folded()[foldWord(string(part))]
		return ok
	}
	return end-i > 2 && known(rs[i-before:i+1]) && known(rs[i+1:end]) && !known(rs[i:end])
}

// beginsDigitWord says whether letters or digits read so far and what follows them
// are one of the words that hold digits ("n2o"), which stay whole.
func beginsDigitWord(soFar, after string) bool {
	whole := soFar + after
	rest := strings.ToLower(whole)
	for w := range digitWords {
		if strings.HasPrefix(rest, w) && len(w) > len(soFar) && (!continues(rest, len(w)) || beginsWord(whole, len(w))) {
			return true
		}
	}
	return false
}

// beginsWord says whether a capital with a small letter behind it stands at a byte offset:
// the next word of a name written without blanks ("N2OSolenoid").
func beginsWord(s string, at int) bool {
	return at+1 < len(s) && s[at] >= 'A' && s[at] <= 'Z' && s[at+1] >= 'a' && s[at+1] <= 'z'
}

func isEastAsian(r rune) bool { return r >= 0x3040 && r < 0xFB00 }

// continues says whether a letter or digit follows at a byte offset.
func continues(s string, at int) bool {
	if at >= len(s) {
		return false
	}
	c := s[at]
	return c >= 'a' && c <= 'z' || c >= '0' && c <= '9'
}

func wholeNumber(s string) (int, bool) {
	n := 0
	for _, r := range s {
		if r < '0' || r > '9' || n > 1e6 {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, true
}

// joinPairs looks two neighbouring short words up together ("AV G", "air fuel").
func joinPairs(ws []word) []word {
	dict := folded()
	for i := 0; i+1 < len(ws); i++ {
		a, b := ws[i], ws[i+1]
		if a.number >= 0 && len(a.senses) == 0 || b.number >= 0 && len(b.senses) == 0 {
			continue
		}
		isMixture := hasIdea(a, fAir) && hasIdea(b, fFuel)
		if isMixture {
			ws[i] = word{text: a.text + b.text, senses: []sense{setOf(fAFR)}, number: -1}
			ws = append(ws[:i+1], ws[i+2:]...)
			continue
		}
		// "pCrank", "mFuel": a letter for the quantity before the thing.
		letter := len(a.text) == 1 && len(b.text) > 2
		// "Crank P": the letter after it, where the thing alone would be another.
		letter = letter || b.text == "p" && len(a.text) > 4
		if e, ok := dict[a.text+b.text]; ok && (letter || len(a.senses)+len(b.senses) == 0 || !e.alone && len(a.text+b.text) >= 8) {
			ws[i] = word{text: a.text + b.text, senses: e.senses, number: -1}
			ws = append(ws[:i+1], ws[i+2:]...)
		}
	}
	return ws
}

func hasIdea(w word, f feature) bool {
	for _, s := range w.senses {
		if s.has(f) && s.within(setOf(f)) {
			return true
		}
	}
	return false
}
