package logfile

import (
	"math"
	"strconv"
	"strings"

	"traplight/internal/logfile/table"
)

// switchWords are what loggers print for a switch, in the languages of the lexicon.
var switchWords = map[string]float64{
	"on": 1, "true": 1, "yes": 1, "active": 1, "ein": 1, "an": 1, "ja": 1, "wahr": 1, "aktiv": 1, "oui": 1, "vrai": 1, "actif": 1, "sí": 1, "si": 1, "sì": 1, "sim": 1, "vero": 1, "aan": 1, "waar": 1, "tak": 1, "high": 1, "closed": 1,
	"off": 0, "false": 0, "no": 0, "inactive": 0, "aus": 0, "nein": 0, "falsch": 0, "inaktiv": 0, "non": 0, "faux": 0, "inactif": 0, "não": 0, "nao": 0, "falso": 0, "uit": 0, "nee": 0, "onwaar": 0, "nie": 0, "low": 0, "open": 0,
}

// unword turns a column of words that name a switch's two states, or gears ("G3",
// "N"), into numbers; nil when any word is another.
func unword(c *table.Column) []float64 {
	out := make([]float64, len(c.Text))
	states := map[float64]bool{}
	for i, w := range c.Text {
		w = strings.ToLower(strings.TrimSpace(w))
		out[i] = math.NaN()
		if w == "" || w == "-" || w == "nan" {
			continue
		}
		x, ok := switchWords[w]
		if !ok {
			x, ok = gearWord(w)
		}
		if !ok {
			return nil
		}
		out[i] = x
		states[x] = true
	}
	if len(states) == 0 {
		return nil
	}
	return out
}

func gearWord(w string) (float64, bool) {
	switch w {
	case "n", "neutral":
		return 0, true
	case "r", "reverse":
		return -1, true
	}
	for _, before := range []string{"gear", "g"} {
		if n, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(w, before))); err == nil && strings.HasPrefix(w, before) && n >= 0 && n < 13 {
			return float64(n), true
		}
	}
	return 0, false
}
