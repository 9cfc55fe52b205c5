package dictionary

import (
	"strings"
	"sync"
)

// understood remembers tokens that were looked up; logs repeat them.
var understood struct {
	sync.Mutex
	words map[string][]word
}

// mostUnderstood is how many tokens are remembered.
const mostUnderstood = 4096

// understand looks a token up, once; a full stop behind it marks an abbreviation.
func understand(f string) []word {
	understood.Lock()
	defer understood.Unlock()
	if ws, ok := understood.words[f]; ok {
		return ws
	}
	if n := len(understood.words); n == 0 || n >= mostUnderstood {
		understood.words = map[string][]word{}
	}
	token, short := strings.CutSuffix(f, ".")
	ws := lookUp(token, short)
	understood.words[f] = ws
	return ws
}

// lookUp looks for a token whole, as a compound, by its beginning, with one wrong
// letter; short says that a full stop stands behind it.
func lookUp(f string, short bool) []word {
	dict := folded()
	if e, ok := dict[f]; ok {
		return []word{{text: f, senses: e.senses, number: -1}}
	}
	if parts := compound(f); parts != nil {
		return parts
	}
	if len([]rune(f)) >= 4 {
		if s, ok := byBeginning(f); ok {
			return []word{{text: f, senses: s, number: -1, weak: true}}
		}
	}
	if short {
		if parts := abbreviation(f); parts != nil {
			return parts
		}
	}
	if s, ok := byStem(f); ok {
		return []word{{text: f, senses: s, number: -1, weak: true}}
	}
	if len([]rune(f)) >= 6 {
		if s, ok := byOneLetter(f); ok {
			return []word{{text: f, senses: s, number: -1, weak: true}}
		}
	}
	if parts := partCompound(f); parts != nil {
		return parts
	}
	if parts := runTogether(f); parts != nil {
		return parts
	}
	return []word{{text: f, number: -1}}
}

// links are letters that languages put between the parts of a compound.
var links = []string{"", "s", "n", "en", "es", "e", "o"}

// compound cuts a token into words of the lexicon, as few as possible.
func compound(f string) []word {
	rs := []rune(f)
	n := len(rs)
	if n < 4 && rs[0] < 0x3000 || n < 2 || n > 60 {
		return nil
	}
	dict := folded()
	type cell struct {
		cost int
		prev int
		text string
	}
	best := make([]cell, n+1)
	for i := range best {
		best[i].cost = 1 << 20
	}
	best[0].cost = 0
	for i := 0; i < n; i++ {
		if best[i].cost >= 1<<20 {
			continue
		}
		for j := i + 1; j <= n && j-i <= 24; j++ {
			e, ok := dict[string(rs[i:j])]
			if !ok || e.alone {
				continue
			}
			for _, l := range links {
				k := j + len(l)
				if l != "" && (k > n || string(rs[j:k]) != l || k == n && len(l) > 2) {
					continue
				}
				cost := best[i].cost + 10
				if l != "" {
					cost += 2
				}
				if b := best[k].cost; cost < b || cost == b && !isEastAsian(rs[0]) { // "Ladeluft Druck", not "Lade Luftdruck"
					best[k] = cell{cost, i, string(rs[i:j])}
				}
			}
		}
	}
	if best[n].cost >= 1<<20 {
		return nil
	}
	var out []word
	for k := n; k > 0; k = best[k].prev {
		out = append([]word{{text: best[k].text, senses: dict[best[k].text].senses, number: -1}}, out...)
	}
	return out
}

// leastPart is how many letters a known part of a compound needs beside parts that
// nobody knows; in East Asian writing leastSigns.
const (
	leastPart  = 4
	leastSigns = 2
)

// partCompound cuts a token into words of the lexicon and stretches that nobody knows
// ("kraftstoff leitungs druck"), as long as the known ones are most of it. All of it
// counts as guessed.
func partCompound(f string) []word {
	rs := []rune(f)
	n := len(rs)
	least, share := leastPart, 0.5
	if isEastAsian(rs[0]) {
		least, share = leastSigns, 0.45
	}
	if n < least+1 || n > 40 {
		return nil
	}
	dict := folded()
	type cell struct {
		unknown, parts, prev int
		known                bool
	}
	best := make([]cell, n+1)
	for k := 1; k <= n; k++ {
		p := best[k-1]
		best[k] = cell{p.unknown + 1, p.parts, k - 1, false}
		for j := max(0, k-24); j <= k-least; j++ {
			if e, ok := dict[string(rs[j:k])]; !ok || e.alone {
				continue
			}
			c := cell{best[j].unknown, best[j].parts + 1, j, true}
			if b := &best[k]; c.unknown < b.unknown || c.unknown == b.unknown && c.parts < b.parts {
				*b = c
			}
		}
	}
	known := n - best[n].unknown
	if float64(known) < share*float64(n) || best[n].parts == 0 || best[n].parts == 1 && known < least+1 && least == leastPart {
		return nil
	}
	var out []word
	end := n // of a stretch that nobody knows
	for k := n; ; {
		if k == 0 || best[k].known {
			if end > k {
				out = append([]word{{text: string(rs[k:end]), number: -1, weak: true}}, out...)
			}
			if k == 0 {
				return out
			}
			j := best[k].prev
			text := string(rs[j:k])
			out = append([]word{{text: text, senses: dict[text].senses, number: -1, weak: true}}, out...)
			k, end = j, j
			continue
		}
		k--
	}
}

// byBeginning finds the one meaning of all words that begin with f.
func byBeginning(f string) ([]sense, bool) {
	var found []sense
	for w, e := range folded() {
		if strings.HasPrefix(w, f) && len(w) > len(f) && len(e.senses) == 1 {
			known := false
			for _, s := range found {
				known = known || s == e.senses[0]
			}
			if !known {
				found = append(found, e.senses[0])
			}
		}
	}
	return found, len(found) == 1
}

// byStem finds a word of the lexicon to which f only adds an inflection of up to
// three letters.
func byStem(f string) ([]sense, bool) {
	rs := []rune(f)
	least := 5
	if rs[0] >= 0x400 {
		least = 4
	}
	for cut := 1; cut <= 3 && len(rs)-cut >= least; cut++ {
		if e, ok := folded()[string(rs[:len(rs)-cut])]; ok && !e.alone {
			return e.senses, true
		}
	}
	return nil, false
}

// byOneLetter finds the one meaning of the words that differ from f by one
// letter.
func byOneLetter(f string) ([]sense, bool) {
	var found []sense
	for w, e := range folded() {
		if len(w) >= 5 && len(e.senses) == 1 && oneApart(w, f) {
			known := false
			for _, s := range found {
				known = known || s == e.senses[0]
			}
			if !known {
				found = append(found, e.senses[0])
			}
		}
	}
	return found, len(found) == 1
}

// oneApart says whether two words differ by one letter put in, left out or
// changed.
func oneApart(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) == len(b) {
		return i < len(a) && a[i+1:] == b[i+1:]
	}
	return a[i:] == b[i+1:]
}
