package reconstruct

import (
	"math"
	"testing"
)

// TestFarOff looks for the scale of a wheel channel that is a tenth off, and for none
// where the file's is right or where no scale fits.
func TestFarOff(t *testing.T) {
	d := &driveline{ratios: []float64{6.9, 5.3, 4.22, 3.49, 2.96}}
	for _, c := range []struct{ off, noise, want float64 }{{0, 0.004, 0}, {0.095, 0.004, -0.095}, {-0.11, 0.004, 0.11}, {0.03, 0.004, 0}, {0.095, 0.3, 0}} {
		g := &grid{}
		for i := range 1500 {
			gear := i / 300
			v := 10 + 0.05*float64(i)
			g.v, g.a = append(g.v, v), append(g.a, 5)
			g.wheel = append(g.wheel, v/0.32*math.Exp(c.off))
			g.engine = append(g.engine, v/0.32*d.ratios[gear]*math.Exp(c.noise*math.Sin(2.3*float64(i)+float64(i*i))))
		}
		if got := d.farOff(g); math.Abs(got-c.want) > 0.012 {
			t.Errorf("wheels off by %.3f, noise %.3f: scale %.3f, want %.3f", c.off, c.noise, got, c.want)
		}
	}
}
