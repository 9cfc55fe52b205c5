package forecast

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// The answer to boost by hand: a tenth more absolute pressure loses a hundredth of torque
// beyond the model; an ignition that was read leaves the air's heat to the model.
func TestTorqueAnswer(t *testing.T) {
	read, blind := &sim.Car{Engine: sim.Engine{Spark: sim.Spark{Loss: 1}}}, &sim.Car{}
	at := setting{200e3, 100e3}
	if a := answered(read, 0, 0, at, setting{220e3, 100e3}); math.Abs(a-0.99) > 1e-12 {
		t.Errorf("torque times %.4f for a tenth more pressure, want 0.99", a)
	}
	// 8 kPa less of barometer, boost held over it or held absolute: the model has it all, but
	// not for certain
	for _, will := range []setting{{192e3, 92e3}, {200e3, 92e3}} {
		if a := answered(read, 2, 0, at, will); a != 1 {
			t.Errorf("a thinner air alone: torque times %.4f", a)
		}
		if a := answered(read, 0, 1, at, will); a < 1.004 {
			t.Errorf("a thinner air alone leaves %.4f of doubt", a-1)
		}
	}
	_, known := fitcar.TorqueAnswer(read)
	if _, sd := fitcar.TorqueAnswer(blind); sd <= known {
		t.Error("an ignition that nobody read leaves no more in doubt")
	}
	if h := heated(read, 20, 1); h != 1 {
		t.Errorf("with the ignition read, warmth counts twice: %g", h)
	}
	if h := heated(blind, 10, 0); h >= 1 || h < 0.99 {
		t.Errorf("10 K more: torque times %.4f; half a degree's worth of retard is due", h)
	}
	// 10 K beyond the warmest that was run: 6 K of them cost 0.15 % each; colder air nothing
	if k := knocked(blind, at, 300, 10, 0); math.Abs(k-0.991) > 1e-12 {
		t.Errorf("knock control leaves %.4f of torque in air 10 K warmer than ever, want 0.991", k)
	}
	for _, w := range []float64{-20, 0, 4} {
		if k := knocked(blind, at, 300, w, -3); k != 1 {
			t.Errorf("air %+.0f K from the warmest that was run: knock control leaves %.4f", w, k)
		}
	}
	if k := knocked(blind, at, 300, 20, 3); k > 1 {
		t.Errorf("heat makes torque: %.4f", k)
	}
	// where the ignition is known and 20° late, with 1/rad² a degree costs 2·0.349·π/180 of what is left
	read.Engine.Spark.Best = 20 * math.Pi / 180
	late := read.Engine.Spark.Best
	want := 1 - 0.9*2*late/(1-late*late)*math.Pi/180
	if k := knocked(read, at, 300, 10, 0); math.Abs(k-want) > 1e-9 {
		t.Errorf("knock control leaves %.4f of torque where the ignition is 20° late, want %.4f", k, want)
	}
	read.Engine.Spark.Best = 0 // at its best already
	if k := knocked(read, at, 300, 10, 0); math.Abs(k-0.991) > 1e-12 {
		t.Errorf("knock control leaves %.4f of torque at the best ignition, want 0.991", k)
	}
}
