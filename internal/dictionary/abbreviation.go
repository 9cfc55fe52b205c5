package dictionary

import (
	"maps"
	"slices"
	"strings"
	"sync"
)

// leastStem is how many letters of a word an abbreviation with a full stop must keep.
const leastStem = 3

// mostMeanings is how many meanings the words that begin as an abbreviation does may have.
const mostMeanings = 3

// abbreviation understands a token with a full stop behind it that nobody knows whole
// ("Tastverh.", "Motoröldr."): as the beginning of words, or as a word of the lexicon
// with such a beginning or with a known abbreviation behind it; nil when it is none. All of
// it counts as guessed.
func abbreviation(f string) []word {
	rs := []rune(f)
	if s := beginnings(f); s != nil {
		return []word{{text: f, senses: s, number: -1, weak: true}}
	}
	dict := folded()
	for cut := 2; cut <= len(rs)-2; cut++ { // the shortest tail first, the longest word before it
		head, tail := string(rs[:len(rs)-cut]), string(rs[len(rs)-cut:])
		var before []word
		if e, ok := dict[head]; ok && !e.alone {
			before = []word{{text: head, senses: e.senses, number: -1}}
		} else if before = compound(head); before == nil {
			continue
		}
		senses := beginnings(tail)
		if e, ok := dict[tail]; ok {
			senses = e.senses
		}
		if senses != nil {
			return append(slices.Clone(before), word{text: tail, senses: senses, number: -1, weak: true})
		}
	}
	return nil
}

// beginnings are the meanings of all words that begin with f; nil when f is too short or
// they mean too many things.
func beginnings(f string) []sense {
	if len([]rune(f)) < leastStem {
		return nil
	}
	var found []sense
	words := inOrder()
	at, _ := slices.BinarySearch(words, f)
	for _, w := range words[at:] {
		if !strings.HasPrefix(w, f) {
			break
		}
		if e := folded()[w]; w != f && !e.alone {
			for _, s := range e.senses {
				if !slices.Contains(found, s) {
					found = append(found, s)
				}
			}
		}
	}
	if len(found) > mostMeanings {
		return nil
	}
	return found
}

// inOrder are the lexicon's words, sorted.
var inOrder = sync.OnceValue(func() []string { return slices.Sorted(maps.Keys(folded())) })

// mostRun is how many words may be run together without a sign between them.
const mostRun = 3

// runTogether cuts a token into short forms that otherwise count only alone ("whlspdfl",
// "motdrehz"): two or three that the lexicon knows, the first and one other of three
// letters or more.
func runTogether(f string) []word {
	rs := []rune(f)
	if len(rs) < 5 || len(rs) > 16 || rs[0] >= 0x3000 {
		return nil
	}
	dict := folded()
	var best []string
	var walk func(at int, parts []string)
	walk = func(at int, parts []string) {
		if at == len(rs) {
			long := 0
			for _, p := range parts {
				if len([]rune(p)) >= 3 {
					long++
				}
			}
			if long >= 2 && (best == nil || len(parts) < len(best)) {
				best = slices.Clone(parts)
			}
			return
		}
		if len(parts) == mostRun {
			return
		}
		least := 2
		if at == 0 {
			least = 3
		}
		for end := at + least; end <= len(rs); end++ {
			if _, ok := dict[string(rs[at:end])]; ok {
				walk(end, append(parts, string(rs[at:end])))
			}
		}
	}
	walk(0, nil)
	var out []word
	for _, p := range best {
		out = append(out, word{text: p, senses: dict[p].senses, number: -1, weak: true})
	}
	return out
}
