package fitcar

import (
	"fmt"
	"math"
	"os"
	"testing"

	"traplight/internal/sim"
)

func TestDbg(t *testing.T) {
	if os.Getenv("DBG") == "" {
		t.Skip("only by hand")
	}
	sheet, notes := loadCar(t, os.Getenv("DBGCAR"))
	var obs []*Observation
	var fs []string
	fmt.Sscan(os.Getenv("DBG"))
	for _, f := range splitList(os.Getenv("DBG")) {
		fs = append(fs, f)
		tf := readTruth(t, f)
		for k := range tf.Passes {
			obs = append(obs, truthObservation(t, tf, k, sheet, notes))
		}
	}
	m, err := Fit(t.Context(), sheet, obs, Options{Members: 1})
	if err != nil {
		t.Fatal(err)
	}
	k := len(obs) - 1
	o := obs[k]
	p := m.Passes[k]
	r := sim.Runner{Car: p.Car, Keep: 0.1, Watch: true}
	res, _ := r.Run(p.Replay)
	w := newWork(o, p.Car, sheet, nil)
	w.demand(p.Car)
	w.measuredHead()
	ph, gr, out := w.phases(), w.gearAt(), make([]float64, len(w.X))
	w.runHead(p.Car, ph, gr, startHead(w), out)
	fmt.Println("gain", p.Car.Engine.Speed0, p.Car.Engine.Gain, p.Car.Engine.ChargeBase, p.Car.Engine.ChargeRise)
	for _, q := range res.Points {
		i := o.at(q.T)
		ch, _ := w.charge(&p.Car.Engine, i)
		fmt.Printf("t %.2f x %.1f/%.1f v %.2f/%.2f g %d/%d rpm %.0f/%.0f boost %.0f/%.0f(h-run %.0f) T %.0f/%.0f(%.0f) slip %.3f/%.3f\n", q.T, q.X, o.X[i], q.V, o.V[i], q.Gear, o.Gear[i], q.EngineSpeed*30/math.Pi, o.Engine[i]*30/math.Pi,
			q.Boost/1e3, (o.Boost[i]-o.Air.Pressure)/1e3, (sim.Pressure(o.Air.Pressure, out[i])-o.Air.Pressure)/1e3, q.Torque, w.torque[i], p.Car.Engine.Torque(o.Engine[i], ch), q.Slip, w.slip[i])
	}
}

func splitList(s string) (out []string) {
	cur := ""
	for _, c := range s + "," {
		if c == ',' {
			out = append(out, cur)
			cur = ""
		} else {
			cur += string(c)
		}
	}
	return
}
