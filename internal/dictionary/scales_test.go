package dictionary

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

func oneColumn(name, unit string, v []float64) *logfile.Log {
	l := &logfile.Log{RowStep: 0.01, Parts: []int{0}}
	for i := range v {
		l.RowTime = append(l.RowTime, float64(i)/100)
	}
	l.Columns = []logfile.Column{{Name: name, Unit: unit, Values: v}}
	return l
}

func identified(t *testing.T, l *logfile.Log) *Set {
	t.Helper()
	set, err := Identify(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// TestRichness: fuel over air is turned into lambda, whatever it is called, and a lambda
// that goes by the same name is not (Heywood 1988, section 3.4, from memory: phi is 1 over
// lambda).
func TestRichness(t *testing.T) {
	lambda := func(i int) float64 {
		if i < 1000 {
			return 1.0 + 0.01*math.Sin(float64(i))
		}
		return 0.80 + 0.02*math.Sin(float64(i)/7)
	}
	for _, c := range []struct {
		name   string
		invert bool
	}{{"Richesse", true}, {"Equivalence ratio", true}, {"Equivalence ratio", false}, {"Lambda", false}} {
		v := make([]float64, 2000)
		for i := range v {
			v[i] = lambda(i)
			if c.invert {
				v[i] = 1 / v[i]
			}
			v[i] = math.Round(1000*v[i]) / 1000
		}
		ch := identified(t, oneColumn(c.name, "", v)).Channels[0]
		if ch.Quantity != quantity.Lambda {
			t.Errorf("%s: taken for %q", c.name, ch.Quantity)
			continue
		}
		if got, want := ch.Trace.V[ch.Trace.Len()-1], lambda(1999); math.Abs(got-want) > 0.005 {
			t.Errorf("%s (inverted %v): lambda %v, want %v", c.name, c.invert, got, want)
		}
	}
}

// TestMixtureOnTheFuelsOwnScale: a gauge that would read lambda 0.52 on the gasoline scale
// prints the fuel's own ratio; one that reads 0.8 does not. Stoichiometry of a gasoline blend
// with 85 % ethanol about 9.8 (Heywood 1988, App. D, from memory).
func TestMixtureOnTheFuelsOwnScale(t *testing.T) {
	for _, c := range []struct{ scale, stoich float64 }{{9.8, 9.8}, {14.7, 9.8}, {14.7, 14.7}} {
		v := make([]float64, 2000)
		for i := range v {
			v[i] = math.Round(100*c.scale*(0.8+0.02*math.Sin(float64(i)/7)+0.2*math.Exp(-float64(i)/200))) / 100
		}
		set, err := Identify(oneColumn("AFR", "AFR", v), Options{Stoich: c.stoich})
		if err != nil {
			t.Fatal(err)
		}
		ch := set.Channels[0]
		if got, want := ch.Trace.V[ch.Trace.Len()-1], v[1999]/c.scale; math.Abs(got-want) > 0.002 {
			t.Errorf("scale %v, fuel %v: lambda %v, want %v; %q", c.scale, c.stoich, got, want, ch.Problems)
		}
	}
}

// TestTwoScaleBoost: a gauge in psi above the barometer and inches of mercury below it.
func TestTwoScaleBoost(t *testing.T) {
	v := make([]float64, 2000)
	for i := range v {
		v[i] = -20 + 0.2*math.Sin(float64(i))
		if i > 800 {
			v[i] = 25 + math.Sin(float64(i)/9)
		}
		v[i] = math.Round(100*v[i]) / 100
	}
	set := identified(t, oneColumn("Boost", "psi/inHg", v))
	x := set.Channels[0].Trace.V
	// 3386.39 Pa an inch, 6894.76 Pa a psi (NIST SP 811).
	if low, want := x[0]-set.Barometer, v[0]*3386.389; math.Abs(low-want) > 50 {
		t.Errorf("at idle %v Pa over the barometer, want %v", low, want)
	}
	if high, want := x[len(x)-1]-set.Barometer, v[1999]*6894.757; math.Abs(high-want) > 50 {
		t.Errorf("under boost %v Pa over the barometer, want %v", high, want)
	}
}

// TestStraightLinesBetweenReadings: of a column in which an export drew lines between
// readings only the readings count; a column that is read in every row stays whole.
func TestStraightLinesBetweenReadings(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	knot := make([]float64, 501)
	for k := range knot {
		knot[k] = 20 + float64(k)/6 + 0.1*r.NormFloat64()
	}
	drawn, read := make([]float64, 2500), make([]float64, 2500)
	for i := range drawn {
		k, f := i/5, float64(i%5)/5
		drawn[i] = math.Round(1e4*(knot[k]+f*(knot[k+1]-knot[k]))) / 1e4
		read[i] = math.Round(1e2*(20+float64(i)/30+0.1*r.NormFloat64())) / 1e2
	}
	if ch := identified(t, oneColumn("GPS speed", "m/s", drawn)).Channels[0]; math.Abs(ch.RateHz-20) > 0.1 || ch.Trace.Len() != 500 {
		t.Errorf("drawn: %v Hz, %d readings; want 20 Hz, 500", ch.RateHz, ch.Trace.Len())
	}
	if ch := identified(t, oneColumn("GPS speed", "m/s", read)).Channels[0]; ch.RateHz != 100 || ch.Trace.Len() < 2400 {
		t.Errorf("read in every row: %v Hz, %d readings", ch.RateHz, ch.Trace.Len())
	}
}
