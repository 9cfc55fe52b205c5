package dictionary_test

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
)

// original is a reference log with what the dictionary makes of it; TestReferenceLogs
// holds that against the truth.
type original struct {
	name string
	log  *logfile.Log
	set  *dictionary.Set
}

// originals reads one reference log of each car.
func originals(t *testing.T) []original {
	t.Helper()
	dir := reftest.Path(t, "logs")
	var out []original
	for _, name := range []string{"a04_marlin.csv", "b01_heron.csv", "b02_heron.csv", "c01_otter_two_passes.csv", "d01_wren_clock.csv", "e01_tern.csv", "f01_gannet.csv"} {
		log, err := logfile.Open(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		set, err := dictionary.Identify(log, dictionary.Options{})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, original{name, log, set})
	}
	return out
}

// sample turns a log back into something to write.
func (o original) sample() logfiletest.Sample {
	s := logfiletest.Sample{Name: o.name}
	for _, x := range o.log.RowTime {
		s.Time = append(s.Time, o.log.Clock.Log(x))
	}
	for _, c := range o.log.Columns {
		s.Columns = append(s.Columns, logfiletest.Column{Name: c.Name, Unit: c.Unit, Values: c.Values})
	}
	return s
}

// again writes a sample in a dialect, reads and identifies it.
func again(t *testing.T, s logfiletest.Sample, d logfiletest.Dialect) *dictionary.Set {
	t.Helper()
	log, err := logfile.Read(s.Name, d.Encode(s))
	if err != nil {
		t.Fatalf("%s: %v", s.Name, err)
	}
	set, err := dictionary.Identify(log, dictionary.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// same counts the channels that got the same meaning and, in the middle of the
// log, the same SI values.
func same(t *testing.T, what string, want, got *dictionary.Set, report bool) (meaning, value, all int) {
	t.Helper()
	if len(want.Channels) != len(got.Channels) {
		t.Fatalf("%s: %d channels, want %d", what, len(got.Channels), len(want.Channels))
	}
	for i := range want.Channels {
		w, g := &want.Channels[i], &got.Channels[i]
		all++
		if w.Quantity == g.Quantity && w.Index == g.Index {
			meaning++
		} else if report {
			t.Errorf("%s: %q as %q is %s[%d] (%.2f), want %s[%d]", what, w.Name, g.Name, g.Quantity, g.Index, g.Confidence, w.Quantity, w.Index)
			continue
		}
		if w.Quantity == quantity.Knock { // kept as logged
			value++
			continue
		}
		a, b := meanOf(w), meanOf(g)
		if math.Abs(a-b) <= 0.02*math.Abs(a)+1e-3*top(w) {
			value++
		} else if report && w.Quantity == g.Quantity {
			t.Errorf("%s: %q in %q has a mean of %.4g, want %.4g (%q)", what, g.Name, g.Unit, b, a, w.Unit)
		}
	}
	return meaning, value, all
}

func meanOf(c *dictionary.Channel) float64 {
	sum := 0.0
	for _, v := range c.Trace.V {
		sum += v
	}
	return sum / math.Max(1, float64(c.Trace.Len()))
}

func top(c *dictionary.Channel) float64 {
	m := 0.0
	for _, v := range c.Trace.V {
		m = math.Max(m, math.Abs(v))
	}
	return m
}

// convert prints every column in another unit of the same kind.
func convert(s logfiletest.Sample, keep func(string) string) logfiletest.Sample {
	s.Columns = append([]logfiletest.Column(nil), s.Columns...)
	for i := range s.Columns {
		c := &s.Columns[i]
		to, ok := converted[c.Unit]
		if !ok {
			continue
		}
		from, target := quantity.MustUnit(to[0]), quantity.MustUnit(to[1])
		v := make([]float64, len(c.Values))
		for k, x := range c.Values {
			v[k] = math.Round(target.Of(from.SI(x))*1e4) / 1e4
		}
		suffix := ""
		for _, r := range []string{"(a)", "(g)", " abs"} {
			if strings.HasSuffix(c.Unit, r) {
				suffix = r
			}
		}
		c.Values, c.Unit = v, keep(to[1]+suffix)
	}
	return s
}

// edit changes the columns of a sample that have one of the names.
func edit(s logfiletest.Sample, f func(*logfiletest.Column), names ...string) logfiletest.Sample {
	s.Columns = append([]logfiletest.Column(nil), s.Columns...)
	for i := range s.Columns {
		for _, n := range names {
			if s.Columns[i].Name == n {
				f(&s.Columns[i])
			}
		}
	}
	return s
}
