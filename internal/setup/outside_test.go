package setup

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/reftest"
	"traplight/internal/trace"
)

// TestAgainstSummary holds what is told of a channel against the medians that R prints of its
// data set mtcars (R documentation, summary(mtcars), from memory): 123.0 hp, 3.325 (1000 lb)
// and 17.71 s. 32 values are an even number: the median is the mean of the middle two.
func TestAgainstSummary(t *testing.T) {
	var power, weight, quarter trace.Trace
	for i, r := range reftest.Rows(t, "mtcars_quarter_mile.csv") {
		for x, column := range map[*trace.Trace]string{&power: "gross_hp", &weight: "weight_1000lb", &quarter: "quarter_mile_s"} {
			x.T, x.V = append(x.T, 10+0.01*float64(i)), append(x.V, r.Num(t, column))
		}
	}
	p := &pass.Pass{Launch: quantity.Estimate{Value: 10.4}, Gears: []pass.GearSpan{{Gear: 1, FullThrottle: []pass.Window{{From: 10, To: 10.4}}}}}
	list := Of(p, &dictionary.Set{Channels: []dictionary.Channel{
		{Quantity: quantity.BoostTarget, Trace: power}, {Quantity: quantity.TyrePressure, Trace: weight}, {Quantity: quantity.EngineSpeed, Trace: quarter},
	}}, nil, nil)
	for _, c := range []struct {
		name string
		gear int
		want float64
	}{{BoostTarget, 1, 123.0}, {TyrePressure, 0, 3.325}, {LaunchSpeed, 0, 17.71}} {
		if s := find(t, list, c.name, c.gear); s.Logged == nil || math.Abs(*s.Logged-c.want) > 1e-9 {
			t.Errorf("%s: %v, R has %v", c.name, s.Logged, c.want)
		}
	}
}

// TestAgainstMeasured does the same on a measured drive of a turbocharged car (M. Weber, KIT,
// DOI 10.35097/1130, CC BY 4.0): manifold pressure in two stretches, whose medians are those
// of Python's statistics.median over the file (111 kPa of 360 samples, 133 of 739).
func TestAgainstMeasured(t *testing.T) {
	f, err := os.Open(reftest.Path(t, "data", "turbo-diesel-obd", "accelerations-2018-02-23.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var boost trace.Trace
	var first time.Time
	for _, r := range rows[1:] {
		at, err := time.Parse("15:04:05.000", r[0])
		if err != nil {
			t.Fatal(err)
		}
		if first.IsZero() {
			first = at
		}
		if v, err := strconv.ParseFloat(r[2], 64); err == nil {
			boost.T, boost.V = append(boost.T, at.Sub(first).Seconds()), append(boost.V, 1e3*v)
		}
	}
	p := &pass.Pass{Gears: []pass.GearSpan{
		{Gear: 1, FullThrottle: []pass.Window{{From: 100, To: 130}}}, {Gear: 2, FullThrottle: []pass.Window{{From: 200, To: 260}}},
	}}
	list := Of(p, &dictionary.Set{Channels: []dictionary.Channel{{Quantity: quantity.BoostTarget, Trace: boost}}}, nil, nil)
	for gear, want := range map[int]float64{1: 111e3, 2: 133e3} {
		if s := find(t, list, BoostTarget, gear); s.Logged == nil || *s.Logged != want {
			t.Errorf("stretch %d: %v, want %v", gear, s.Logged, want)
		}
	}
}

// TestMeanWithoutTarget: where neither notes nor log tell a target, the boost that was run
// tells two passes apart.
func TestMeanWithoutTarget(t *testing.T) {
	with := func(boost float64) []Setting {
		return Of(&pass.Pass{Gears: []pass.GearSpan{{Gear: 1, MeanBoost: &boost}}}, nil, nil, nil)
	}
	if d := Differ(with(170e3), with(190e3)); len(d) != 1 || d[0].Name != BoostMean || !d[0].Logged {
		t.Errorf("20 kPa more: %v", d)
	}
	if d := Differ(with(170e3), with(175e3)); len(d) != 0 {
		t.Errorf("what weather moves: %v", d)
	}
}
