package fitcar_test

import (
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// A member whose tyres carry 6 % less than those of the pass spins in a gear in which the log
// shows creep, and shifts early out of it. Held to the log's slip it runs the pass as it went.
func TestFollow(t *testing.T) {
	car := simtest.Invented()
	car.Tyre.Peak = 1
	runs, err := fitcartest.RecordOf(car, 1, 5, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: 1})
	if err != nil {
		t.Fatal(err)
	}
	mem := m.Mean
	weak := *mem.Car
	mem.Car = &weak
	// the car's own, but for the grip
	weak.Tyre, weak.Engine, weak.Boost = car.Tyre, car.Engine, car.Boost
	weak.Tyre.Peak *= 0.94
	mem.Scale, mem.Levels = nil, []float64{1}
	most := func(c *sim.Car, p *sim.Pass) (slip, trap float64) {
		res, err := (&sim.Runner{Car: c, Watch: true}).Run(p)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range res.Gears[1:] {
			slip = max(slip, g.MaxSlip)
		}
		return slip, res.Trap
	}
	was, trap := most(car, runs[0].Pass)
	free, _ := most(m.Replay(&mem, 0))
	held, got := most(m.Follow(&mem, 0))
	t.Logf("highest slip above first gear: log %.3f, replay %.3f, held %.3f; trap %.2f, %.2f m/s", was, free, held, trap, got)
	if free < 2*was {
		t.Fatalf("the replay slips %.3f, the log %.3f: nothing to mend here", free, was)
	}
	if math.Abs(held-was) > 0.3*was || math.Abs(got-trap) > 0.3 {
		t.Errorf("held to the log the highest slip is %.3f where it was %.3f, the trap %.2f m/s where it was %.2f", held, was, got, trap)
	}
}

// A pass that is not good is all there is: its own boost teaches the air path all the same.
func TestOnlyFaultyPass(t *testing.T) {
	runs, err := fitcartest.Record(1, 5, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	rate := func(good bool) float64 {
		obs := fitcartest.Observations(runs)
		obs[0].Good = good
		m, err := fitcar.Fit(t.Context(), fitcartest.Sheet(), obs, fitcar.Options{Members: 1})
		if err != nil {
			t.Fatal(err)
		}
		if m.Learnt == nil {
			t.Fatal("nothing was learnt of the air path")
		}
		return m.Mean.Car.Boost.Rate
	}
	if good, bad := rate(true), rate(false); math.Abs(bad/good-1) > 0.3 {
		t.Errorf("the rotor answers at %.2f 1/s by a good pass, at %.2f by the same marked as not good", good, bad)
	}
}
