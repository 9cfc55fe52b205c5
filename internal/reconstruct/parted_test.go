package reconstruct

import (
	"math"
	"testing"
)

// driving is a grid of a car that runs through three gears, engine and wheels in step.
func driving() (g *grid, ratios, wheel []float64, radius float64) {
	ratios, radius = []float64{8, 6, 4.5}, 0.32
	g = &grid{n: 900, v: make([]float64, 900), engine: make([]float64, 900)}
	wheel = make([]float64, g.n)
	for i := range g.v {
		g.v[i] = 15 + 40*float64(i)/float64(g.n)
		wheel[i] = 1.02 * g.v[i] / radius
		g.engine[i] = wheel[i] * ratios[i/300]
	}
	return g, ratios, wheel, radius
}

func TestJudgeAxle(t *testing.T) {
	g, ratios, wheel, _ := driving()
	drifts := func(i int) float64 { return math.Max(0, float64(i-200)) / 2000 }
	a, b := append([]float64(nil), wheel...), append([]float64(nil), wheel...)
	if k := judgeAxle(g, ratios, a, b); k != -1 {
		t.Errorf("wheels that agree: %d is doubted", k)
	}
	for i := range a {
		a[i] *= 1 + drifts(i)
	}
	if k := judgeAxle(g, ratios, a, b); k != 0 {
		t.Errorf("a reading that drifts off: %d is doubted, want 0", k)
	}
	if k := judgeAxle(g, ratios, b, a); k != 1 {
		t.Errorf("the axle's other reading drifts off: %d is doubted, want 1", k)
	}
	// One wheel spins by itself: the differential turns the engine with the mean.
	for i := range a {
		g.engine[i] *= 1 + drifts(i)/2
	}
	if k := judgeAxle(g, ratios, a, b); k != -1 {
		t.Errorf("one wheel spins: the sensor of %d is doubted", k)
	}
}

func TestLoneWheel(t *testing.T) {
	g, ratios, wheel, radius := driving()
	nominal := math.Log(1 / radius)
	if _, ok := lone(g, ratios, wheel, nominal); ok {
		t.Error("a wheel that goes with engine and car is doubted")
	}
	drift := append([]float64(nil), wheel...)
	spin := append([]float64(nil), wheel...)
	for i := range drift {
		drift[i] *= 1 + math.Max(0, float64(i-200))/2000
	}
	if k, ok := lone(g, ratios, drift, nominal); !ok || math.Abs(k-nominal) > 0.04 {
		t.Errorf("a reading that drifts off: doubted %v, k %.3f against %.3f", ok, k, nominal)
	}
	// Tyres that spin take the engine with them.
	for i := range spin {
		spin[i] *= 1 + math.Max(0, float64(i-200))/2000
		g.engine[i] *= spin[i] / wheel[i]
	}
	if _, ok := lone(g, ratios, spin, nominal); ok {
		t.Error("spinning tyres are taken for a sensor")
	}
}
