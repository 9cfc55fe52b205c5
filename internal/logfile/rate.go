package logfile

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/logfile/table"
)

var (
	tellsRate = regexp.MustCompile(`(?i)^(sampl\w*|log\w*|record\w*|row|data)?[ _-]*(rate|frequency|freq)$|abtastrate|abtastfrequenz|fr[ée]quence|frecuencia|frequenza|bemonsteringsfrequentie`)
	tellsStep = regexp.MustCompile(`(?i)^(sampl\w*|log\w*|record\w*|time)?[ _-]*(interval|period|step)$|^dt$|abtastzeit|abtastintervall`)
	amount    = regexp.MustCompile(`^\s*([0-9]+(?:[.,][0-9]+)?)\s*[,;\t ]*\s*(khz|hz|1/s|ms|s|sec)?\b`)
)

// clockByRate makes the clock of a table without one from the rate or interval that its
// metadata tell with a unit; nil when they tell none.
func clockByRate(t *table.Table) *clockColumn {
	for _, key := range slices.Sorted(maps.Keys(t.Meta)) {
		value := t.Meta[key]
		if name, unit, ok := strings.Cut(key, "["); ok { // "Interval [ms]"
			value, key = value+" "+strings.Trim(unit, "] "), name
		}
		rate := tellsRate.MatchString(strings.TrimSpace(key))
		if !rate && !tellsStep.MatchString(strings.TrimSpace(key)) {
			continue
		}
		m := amount.FindStringSubmatch(strings.ToLower(value))
		if m == nil {
			continue
		}
		x, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
		if err != nil || x <= 0 {
			continue
		}
		step := math.NaN()
		switch {
		case rate && (m[2] == "hz" || m[2] == "1/s"):
			step = 1 / x
		case rate && m[2] == "khz":
			step = 1e-3 / x
		case !rate && (m[2] == "s" || m[2] == "sec"):
			step = x
		case !rate && m[2] == "ms":
			step = x / 1000
		}
		if !(step >= 1e-4 && step <= 1) {
			continue
		}
		cc := &clockColumn{index: -1, other: -1, factor: 1, t: make([]float64, t.Rows)}
		for i := range cc.t {
			cc.t[i] = math.Round(float64(i)*step*1e7) / 1e7
		}
		cc.notes = append(cc.notes, fmt.Sprintf("no column tells the time; rows are %.4g s apart, as %q tells", step, key))
		return cc
	}
	return nil
}
