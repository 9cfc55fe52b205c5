package dictionary

import (
	"os"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// TestTradeNames reads some 2660 names in eleven languages, alone, without unit and
// samples. They were written down from memory of the languages and of textbooks before
// any was tried; 577 were misread then. What still is has two meanings ("pressione
// turbina" is boost to some) or none without its unit ("Ansaugluft").
func TestTradeNames(t *testing.T) {
	const allowed = 28
	wrong := 0
	for _, line := range lines(t, "testdata/trade_names.txt") {
		part := strings.Split(line, "|")
		if len(part) != 3 {
			t.Fatalf("line %q", line)
		}
		want, index := strings.TrimSpace(part[0]), 0
		if q, rest, ok := strings.Cut(want, "["); ok {
			want = q
			index, _ = strconv.Atoi(strings.TrimSuffix(rest, "]"))
		}
		for _, name := range strings.Split(part[2], ";") {
			name = strings.TrimSpace(name)
			ws := splitName(name)
			q, score := bestOf(readName(ws))
			if i := indexOf(q, ws); q != quantity.Name(want) || score < 0.4 || i != index {
				wrong++
				t.Logf("%q is %s[%d] (%.2f), want %s[%d]; words %v", name, q, i, score, want, index, tell(ws))
			}
		}
	}
	if wrong > allowed {
		t.Errorf("%d names misread, %d allowed", wrong, allowed)
	}
}

// TestOtherNames holds that channels which are none of our quantities are not taken for
// one by their names: 37 of them were before the words of TestTradeNames came in.
func TestOtherNames(t *testing.T) {
	const allowed = 27
	taken := 0
	for _, name := range lines(t, "testdata/other_names.txt") {
		ws := splitName(name)
		if q, score := bestOf(readName(ws)); score >= 0.4 {
			taken++
			t.Logf("%q is %s (%.2f); words %v", name, q, score, tell(ws))
		}
	}
	if taken > allowed {
		t.Errorf("%d names taken for a quantity, %d allowed", taken, allowed)
	}
}

// TestMeasureFromUnit reads names without a measure, whose unit tells it.
func TestMeasureFromUnit(t *testing.T) {
	for _, c := range []struct {
		name, unit string
		want       quantity.Name
	}{
		{"Oil", "bar", quantity.OilPressure}, {"Oil", "°C", quantity.OilTemperature}, {"Öl", "bar", quantity.OilPressure}, {"Wasser", "°C", quantity.CoolantTemperature},
		{"Ansaugluft", "°C", quantity.IntakeTemperature}, {"Essence", "bar", quantity.FuelPressure}, {"Turbo", "krpm", quantity.TurboSpeed}, {"Motor", "1/min", quantity.EngineSpeed},
		{"GPS", "km/h", quantity.GPSSpeed}, {"Ambient", "hPa", quantity.BarometricPressure}, {"Ambient", "°C", quantity.AmbientTemperature}, {"Long", "g", quantity.AccelerationLong},
		{"Fuel", "l/h", quantity.FuelFlow}, {"Oil", "%", ""}, {"Bank 1", "°C", ""},
	} {
		cand := &candidate{words: splitName(c.name)}
		cand.unit, cand.known = quantity.ParseUnit(c.unit)
		cand.guesses = readName(cand.words)
		cand.measureFromUnit()
		best, score := quantity.Unknown, 0.4
		for q, g := range cand.guesses {
			if carries(q, cand.unit.Dim) && g.score > score {
				best, score = q, g.score
			}
		}
		if best != c.want {
			t.Errorf("%q [%s] is %q (%.2f), want %q", c.name, c.unit, best, score, c.want)
		}
	}
}

// lines gives a file's lines but blank ones and those that begin with #.
func lines(t *testing.T, file string) []string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, l := range strings.Split(string(text), "\n") {
		if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "#") {
			out = append(out, l)
		}
	}
	return out
}

// TestMixtureByUnit: a unit of mixture tells what a probe or a bank without more of a name measures.
func TestMixtureByUnit(t *testing.T) {
	for name, index := range map[string]int{"Sonde 1": 1, "Bank 2": 2, "Cyl 3": 3} {
		c := newCandidate(&logfile.Column{Name: name, Unit: "AFR", Values: []float64{11.5, 11.6, 14.7, 11.4}})
		if q, _ := bestOf(c.guesses); q != quantity.Lambda || indexOf(q, c.words) != index {
			t.Errorf("%q [AFR] is %s[%d]", name, q, indexOf(q, c.words))
		}
	}
}
