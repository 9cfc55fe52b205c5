package page

import (
	"slices"
	"strings"
	"testing"

	"traplight/internal/report"
)

func TestUnbroken(t *testing.T) {
	got := unbroken([]float64{0, 0.1, 0.2, 0.9, 1, 3}, 0.2)
	if want := [][2]int{{0, 3}, {3, 5}, {5, 6}}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// A finding's picture shows reading, expectation and band, and its start; arrays that
// do not belong together draw nothing.
func TestPlotChart(t *testing.T) {
	start := 10.5
	p := report.Plot{Title: "oil pressure for the engine speed", Unit: "kPa"}
	for i := range 20 {
		p.TimeS = append(p.TimeS, 10+0.06*float64(i))
		p.Reading, p.Expected = append(p.Reading, 400-float64(i)), append(p.Expected, 400)
		p.Low, p.High = append(p.Low, 390), append(p.High, 410)
	}
	h := &report.Health{Findings: []report.Finding{{Kind: "oil supply", StartS: &start, Plots: []report.Plot{p}}}}
	found := shownFindings(h)
	if len(found) != 1 || len(found[0].Plots) != 1 {
		t.Fatalf("%+v", found)
	}
	s := string(found[0].Plots[0])
	for _, want := range []string{"polygon", "ln p1", "ln thin p2", `class="mark"`, "oil pressure for the engine speed, kPa"} {
		if strings.Count(s, want) < 2 { // wide and narrow
			t.Errorf("the picture has no %s", want)
		}
	}
	p.High = p.High[:5]
	if plotChart(&p, &start) != "" || plotChart(&report.Plot{}, &start) != "" {
		t.Error("a picture of what does not belong together")
	}
}
