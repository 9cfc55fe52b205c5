package dictionary

import (
	"regexp"
	"slices"
	"strings"

	"traplight/internal/quantity"
)

// groupMarks stand between the name of a group and that of a channel.
const groupMarks = `/\\:.`

// withoutGroup reads a name without the group before it ("Engine/Wheel speed FL") where
// that says more.
func (c *candidate) withoutGroup() {
	at := strings.LastIndexAny(c.col.Name, groupMarks)
	if at <= 0 || at+2 >= len(c.col.Name) {
		return
	}
	words := splitName(c.col.Name[at+1:])
	if n := len(c.words); n < len(words) || !slices.EqualFunc(c.words[n-len(words):], words, func(a, b word) bool { return a.text == b.text }) {
		return // the end was taken for a unit
	}
	_, whole := bestOf(c.guesses)
	guesses := readName(words)
	if q, score := bestOf(guesses); q != quantity.Unknown && score > 0.6 && score > whole+0.1 {
		c.words, c.guesses = words, guesses
	}
}

// correctedBehind is what some write behind a reading that was corrected for a sensor's error.
var correctedBehind = regexp.MustCompile(`(?i)\(corr\.?\)$`)

// withoutRaw leaves out of a name that it is the raw or the corrected reading where the
// unit is one of the thing itself.
func (c *candidate) withoutRaw() []word {
	if !c.known {
		return c.words
	}
	switch c.unit.Dim {
	case quantity.DimNumber, quantity.DimVoltage, quantity.DimCurrent, quantity.DimFrequency:
		return c.words
	}
	corrected := correctedBehind.MatchString(c.col.Name)
	out := make([]word, 0, len(c.words))
	for i, w := range c.words {
		if hasIdea(w, fRaw) || corrected && i == len(c.words)-1 && hasIdea(w, fCorrection) {
			continue
		}
		out = append(out, w)
	}
	if len(out) == 0 {
		return c.words
	}
	return out
}
