package card

import (
	"bytes"
	"errors"
	"regexp"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/plan"
	"traplight/internal/quantity"
)

// input is a plan as full as one gets; all of it invented.
func input() Input {
	launch, today := 4200.0, 0.3
	f := &forecast.Answer{Next: "t4", ShutDown: 1000, Trap: forecast.Speeds{Mean: 84, SD: 0.5, P05: 83.2, P50: 84, P95: 84.8}, Time: forecast.Times{P50: 18.1},
		Top: 84.5, TopP95: 85.4, Stopping: forecast.Distances{P50: 760, P95: 920}, Target: &forecast.Target{Speed: 85, Chance: 0.12}, Decel: 5.2}
	p := &plan.Answer{Card: true, Forecast: f, Again: 84, Today: &today, DecelFrom: "as this car has shown", New: []string{"boost of 211 kPa in 4 (run so far: 205)"},
		Already: []string{"the last pass was over the limit already: injector duty in 5, 93 % of 90"},
		Notes:   []string{"the strip's own <rules> come first"}}
	p.Settings = plan.Settings{Boost: []float64{55, 95, 150, 211, 211, 211, 211}, Barometer: 100.8, Shift: []float64{7500, 7550, 7600, 7600, 7600, 7600}, Nitrous: true, Below: 20, NitrousGears: []int{3, 4}, LaunchRPM: &launch, TyreCold: 140}
	for g, b := range p.Settings.Boost {
		p.Settings.Absolute = append(p.Settings.Absolute, b+101)
		p.Limits = append(p.Limits, plan.Limit{Gear: g + 1, Limit: "exhaust temperature", Class: plan.Hard, Chance: 0.004, Shadow: 0.1, ShadowSD: 0.05, Binds: true},
			plan.Limit{Gear: g + 1, Limit: "grip", Class: plan.Soft, Chance: 0.08, Binds: true})
	}
	ts := []health.Threshold{}
	for range 10 {
		ts = append(ts, health.Threshold{What: "fuel pressure over manifold pressure", Measure: quantity.FuelPressure, Below: true, Value: 310e3, Delay: 0.15, Boost: 50e3, When: "0.6 s after a shift", Passes: 5})
	}
	return Input{Plan: p, Sheet: &car.Sheet{Name: "Rhyolite & Sons", Fuel: "methanol", BoostSetpoint: "absolute", SlipCut: true}, Protection: ts, World: quantity.Imperial, Made: "11 June 2033, 11:20",
		Due: []string{"the clutch is due after 40 passes"}, Missing: []string{"plugs read", "oil level and smell"}, Wind: "wind 4 m/s across the strip, gusts to 9"}
}

// Even the fullest card is one page, in every form, and says what it must.
func TestForms(t *testing.T) {
	for _, w := range []quantity.World{quantity.Imperial, quantity.Metric, {}} {
		in := input()
		in.World = w
		c, err := New(in)
		if err != nil {
			t.Fatal(err)
		}
		var pdf, again, html, text bytes.Buffer
		for _, err := range []error{c.WritePDF(&pdf), c.WritePDF(&again), c.WriteHTML(&html), c.WriteText(&text)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		if !bytes.Equal(pdf.Bytes(), again.Bytes()) {
			t.Error("the same card has other bytes")
		}
		if n := len(regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(pdf.Bytes(), -1)); n != 1 || !bytes.HasPrefix(pdf.Bytes(), []byte("%PDF-")) {
			t.Errorf("%s: %d pages", w.Name, n)
		}
		for _, want := range []string{"Rhyolite", "t4", "Not run before", "211 kPa", "absolute", "100.8 kPa", "7550", "armed in gear 3, 4", "4200 rpm",
			"exceeded already", "stop", "speed symbol Y", "cross wind", "daylight", "fuel flow", "stands", "refuse", "wheel nuts", "inspect", "the clutch is due", "plugs read", "gusts to 9", "tyres cold", "exhaust temperature", "fuel pressure over manifold"} {
			if !strings.Contains(strings.ToLower(text.String()), strings.ToLower(want)) {
				t.Errorf("%s: the text does not say %q", w.Name, want)
			}
			if !strings.Contains(strings.ReplaceAll(strings.ToLower(html.String()), "\u00a0", " "), strings.ToLower(want)) {
				t.Errorf("%s: the page does not say %q", w.Name, want)
			}
		}
		for form, s := range map[string]string{"text": text.String(), "page": html.String()} {
			if n := strings.Count(s, "(5 clear passes)"); n != 1 {
				t.Errorf("%s: the %s says %d times on what the thresholds rest", w.Name, form, n)
			}
		}
		if s := html.String(); strings.Contains(s, "<rules>") || strings.Contains(s, "<script") || strings.Contains(s, "http") {
			t.Error("the page is not escaped or not self-contained")
		}
	}
}

// Thresholds of different passes say each its own.
func TestProtectedBy(t *testing.T) {
	in := input()
	in.Protection[2].Passes = 4
	c, err := New(in)
	if err != nil {
		t.Fatal(err)
	}
	var text, html strings.Builder
	if err := errors.Join(c.WriteText(&text), c.WriteHTML(&html)); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{text.String(), html.String()} {
		if strings.Count(s, "(5 clear passes)") != 9 || strings.Count(s, "(4 clear passes)") != 1 {
			t.Errorf("the thresholds do not say on which passes they rest:\n%s", s)
		}
	}
}

func TestRefusal(t *testing.T) {
	in := input()
	in.Plan.Card, in.Plan.NoCard = false, "no boost holds the hard limits: crank power"
	if _, err := New(in); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), "crank power") {
		t.Errorf("%v", err)
	}
}

// What does not fit in the smallest type is not cut off in silence.
func TestFull(t *testing.T) {
	in := input()
	for range 200 {
		in.Plan.Already = append(in.Plan.Already, in.Plan.Already[0])
	}
	c, err := New(in)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.WritePDF(&bytes.Buffer{}); !errors.Is(err, ErrFull) {
		t.Errorf("%v", err)
	}
}
