package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Tyres that break loose in an upper gear leave nothing to judge until they have come
// back; without a sensor on the driven wheels it may as well be the clutch, which is judged.
func TestBrokenLooseIsNotJudged(t *testing.T) {
	for name, sensed := range map[string]bool{"wheel sensed": true, "not sensed": false} {
		f := driven()
		set := &dictionary.Set{}
		if sensed {
			set.Channels = []dictionary.Channel{{Name: "driven", Quantity: quantity.DrivenSpeed, Trace: trace.Trace{T: []float64{0}, V: []float64{1}}}}
		}
		f.set = &source{Set: set}
		for i := at(1); i < at(1.2); i++ {
			f.slip[i] = 0.6 // the launch's gear is loose anyway
		}
		for i := at(5); i < at(5.5); i++ {
			f.slip[i] = 0.6
		}
		f.racing()
		if f.raced[at(1.1)] || f.raced[at(4.9)] || f.raced[at(5.9)] {
			t.Errorf("%s: marked where the tyres hold or in first gear", name)
		}
		if f.raced[at(5.2)] != sensed || f.raced[at(5.7)] != sensed {
			t.Errorf("%s: marked %v at 5.2 s and %v at 5.7 s", name, f.raced[at(5.2)], f.raced[at(5.7)])
		}
	}
}

// On the limiter the work is less than speed and boost make believe: a second or two of it
// and what warms is judged no further.
func TestWorkOnTheLimiterIsUnknown(t *testing.T) {
	f := driven()
	f.sheet.RevLimit = 505
	f.air = filled(f.n, 1)
	for i := range f.speed {
		f.speed[i] = 400
	}
	for i := at(3); i < at(6); i++ {
		f.speed[i] = 504
	}
	f.limited()
	known := f.accounted()
	if !known[at(3.9)] || known[at(4.5)] || known[at(9)] {
		t.Errorf("work known at 3.9, 4.5 and 9 s: %v %v %v; want true false false", known[at(3.9)], known[at(4.5)], known[at(9)])
	}
}

// The first long lift leaves the charge unjudged for its time and a little, a second one
// for the rest.
func TestSecondLiftEndsTheChargesCourse(t *testing.T) {
	for k := range 200 {
		// Wherever the log's clock began: a difference of two of its times is rounded.
		secondLift(t, float64(k)*37.13)
	}
}

func secondLift(t *testing.T, clock float64) {
	t.Helper()
	f := driven()
	for i := range f.t {
		f.t[i] += clock
	}
	f.launch, f.end = f.launch+clock, f.end+clock
	shut := func(a, b float64) {
		for i := at(a); i < at(b); i++ {
			f.throttle[i] = 0
		}
	}
	shut(3, 3.6)
	if l := f.lifted(); !l[at(3.5)] || !l[at(4.5)] || l[at(5.2)] {
		t.Errorf("one lift, clock from %g: want it left out from 3.0 to 4.9 s", clock)
	}
	shut(6, 6.6)
	if l := f.lifted(); l[at(5.2)] || !l[at(6.3)] || !l[at(9)] {
		t.Errorf("a second lift, clock from %g: want all left out from 6 s on", clock)
	}
}

// Leaps in the first seconds, where boost over a slow engine surges, accuse no sensor;
// those of a loose plug go on, and count from the first.
func TestSurgeIsNoLoosePlug(t *testing.T) {
	for name, until := range map[string]float64{"surge at the launch": 2, "loose plug": 9} {
		r := rand.New(rand.NewPCG(7, 1))
		x := trace.Trace{}
		for i := range 600 {
			s := float64(i) / 50
			v := 200e3 + 500*r.NormFloat64()
			if k := i % 20; k == 0 && s > 0.5 && s < until {
				v += 60e3
			}
			x.T, x.V = append(x.T, s), append(x.V, v)
		}
		c := &dictionary.Channel{Name: "p", Quantity: quantity.CompressorOutletPressure, RateHz: 50, Trace: x}
		_, rough := roughness(x, 0, 12, 100)
		b, ok := jumpy(c, 0, 12, rough)
		if ok != (until > 3) || ok && math.Abs(b.from-0.8) > 0.01 {
			t.Errorf("%s: told %v, from %.2f s", name, ok, b.from)
		}
	}
}

// With other tyres in the sheet the level of engine against wheels may have moved by as
// much as the radius did, or not at all; that of the oil's pressure may not.
func TestOtherTyresLeaveTheLevelInDoubt(t *testing.T) {
	f := &frame{sheet: &car.Sheet{TyreRadius: quantity.Estimate{Value: 0.33}, LoggerCircum: 2.07}}
	same := Summary{Tyres: &tyreSummary{0.33, 2.07}}
	if cs := f.tyresApart([]Summary{same, {}}); len(cs) != 0 {
		t.Fatalf("the same tyres: %d covariates", len(cs))
	}
	cs := f.tyresApart([]Summary{same, {Tyres: &tyreSummary{0.32, 2.07}}})
	if len(cs) != 1 {
		t.Fatalf("taller tyres: %d covariates, want one", len(cs))
	}
	if cs[0].apart[0] != 0 {
		t.Errorf("a pass on the same tyres is %g apart", cs[0].apart[0])
	}
	for id, want := range map[string]float64{"engine over wheels": math.Log(0.33 / 0.32), "wheel wheel_speed_rl": math.Log(0.33 / 0.32), "oil pressure": 0} {
		sd := math.Abs(cs[0].apart[1]) * cs[0].level(&look{spec: spec{id: id}})
		if math.Abs(sd-want) > 1e-9 {
			t.Errorf("%s: level in doubt by %.4f, want %.4f", id, sd, want)
		}
	}
}

// On a strip with much less grip than ever how far tyres slip is in doubt; with a little
// less, or where they merely were asked for less than a sixth less, it is not.
func TestSlipperyStripLeavesSlipInDoubt(t *testing.T) {
	for grip, want := range map[float64]float64{0.75: 0.15, 1.4: 0} {
		f := driven()
		f.usedGrip = filled(f.n, grip)
		cs := f.gripApart([]Summary{{Grip: 1.5}, {Grip: 1.5}, {}})
		got := 0.0
		if len(cs) > 0 {
			got = cs[0].apart[0] * cs[0].level(&look{spec: spec{id: "tyre slip"}})
			if sd := cs[0].level(&look{spec: spec{id: "turbo speed"}}); sd != 0 {
				t.Errorf("grip %g: the turbo's speed is in doubt by %g", grip, sd)
			}
		}
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("grip %g: slip in doubt by %.3f, want %.3f", grip, got, want)
		}
	}
}

// TestRoughnessWithoutEnd: a pass whose end nothing tells ends with the channel.
func TestRoughnessWithoutEnd(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	x := trace.Trace{}
	for i := range 500 {
		x.T, x.V = append(x.T, float64(i)/50), append(x.V, r.NormFloat64())
	}
	at, rough := roughness(x, 0, math.Inf(1), 0)
	if want, _ := roughness(x, 0, 10, 0); len(want) < 9 || len(at) < len(want) || len(at) > len(want)+1 || len(rough) != len(at) {
		t.Errorf("windows at %v, of a pass that ends %v", at, want)
	}
	if at, _ := roughness(trace.Trace{}, 0, math.Inf(1), 0); at != nil {
		t.Errorf("no samples, windows at %v", at)
	}
}
