package fitcar

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/car"
	"traplight/internal/num/xrand"
	"traplight/internal/physics/air"
	"traplight/internal/reftest"
	"traplight/internal/sim"
)

// truthFile is what these tests read of a simulated log's truth.
type truthFile struct {
	File   string
	Car    string
	Passes []truthPass
}

type truthPass struct {
	Index    int
	Launch   float64 `json:"t_launch"`
	Rollout  float64 `json:"t_rollout_1ft"`
	Complete bool
	Lift     float64 `json:"t_final_lift"`
	Trap     *struct {
		V float64 `json:"v_mean_66ft"`
	}
	Marks map[string]*struct {
		T float64 `json:"t_log"`
	}
	Shifts []struct {
		From   int     `json:"from_gear"`
		To     int     `json:"to_gear"`
		Off    float64 `json:"t_torque_off"`
		On     float64 `json:"t_torque_on"`
		Missed bool
	}
	LaunchInfo struct {
		Locked float64 `json:"t_clutch_locked"`
	} `json:"launch"`
	Params struct {
		R0    float64
		Gears []float64
		Final float64
		Mass  float64
		CdA   float64 `json:"cda"`
	} `json:"car_params"`
	Env struct {
		Wind float64 `json:"headwind_mean"`
	} `json:"environment"`
	Counterfactuals map[string]*struct {
		Gain float64 `json:"trap_gain"`
	}
	Sequels []struct {
		ID  string
		New *struct {
			Trap float64 `json:"trap_mean_66ft"`
		} `json:"new_execution"`
		Same *struct {
			Trap float64 `json:"trap_mean_66ft"`
		} `json:"same_execution"`
	}
	Trace struct {
		T, X, V, A []float64
		TLog       []float64 `json:"t_log"`
		Gear       []int
		Slip, Map  []float64
	} `json:"trace_20hz"`
}

func readTruth(t testing.TB, name string) *truthFile {
	data, err := os.ReadFile(reftest.Path(t, "logs", name+".truth.json"))
	if err != nil {
		t.Skip(err)
	}
	f := &truthFile{}
	if err := json.Unmarshal(data, f); err != nil {
		t.Fatal(err)
	}
	return f
}

// truthObservation makes what Observe would give from a truth file: a stand-in for
// the reconstruction, with the errors of real channels left out.
func truthObservation(t testing.TB, f *truthFile, k int, sheet *car.Sheet, notes *car.Notes) *Observation {
	p := &f.Passes[k]
	o := &Observation{Sheet: sheet, Cold: math.NaN(), Good: true, Trap: math.NaN(), Finish: math.NaN(), Length: 804.672, Window: 20.1168,
		Rollout: p.Rollout, Launch: p.Launch - p.Rollout, Radius: p.Params.R0, Complete: p.Complete, Step: gridStep}
	var note *car.PassNote
	for i := range notes.Passes {
		if n := &notes.Passes[i]; n.File == f.File && n.Index == p.Index {
			note = n
		}
	}
	if note == nil {
		t.Fatal("no note for ", f.File)
	}
	o.settings(note, nil)
	rho, _ := air.Density(note.Weather.AirTemp, note.Weather.Pressure, note.Weather.Humidity)
	o.Air = sim.Air{Density: rho, Temperature: note.Weather.AirTemp, Pressure: note.Weather.Pressure}
	o.Air.Headwind, o.WindSD = Headwind(note.Weather.Headwind, note.Weather.HeadwindS)
	if p.Trap != nil {
		o.Trap, o.TrapSD = p.Trap.V, 0.05
	}
	end := p.Lift
	if m := p.Marks["half_mile"]; m != nil && p.Complete {
		o.Finish = m.T - p.Rollout
		end = min(end, m.T)
	}
	tr := &p.Trace
	o.T0 = p.Launch - p.Rollout
	j := 0
	for i := 0; ; i++ {
		at := p.Launch + float64(i)*gridStep
		if at > end || at > tr.TLog[len(tr.TLog)-1] {
			break
		}
		for j+2 < len(tr.TLog) && tr.TLog[j+1] <= at {
			j++
		}
		u := (at - tr.TLog[j]) / (tr.TLog[j+1] - tr.TLog[j])
		mix := func(a []float64) float64 { return a[j]*(1-u) + a[j+1]*u }
		v := mix(tr.V)
		inShift := tr.Gear[j] == 0 || tr.Gear[j+1] == 0
		for _, s := range p.Shifts {
			inShift = inShift || at >= s.Off && at <= s.On
		}
		g := tr.Gear[j]
		if inShift {
			g = 0
		}
		wheel := v * (1 + mix(tr.Slip)) / o.Radius
		e := math.NaN()
		if gg := max(tr.Gear[j], tr.Gear[j+1]); gg > 0 && at >= p.LaunchInfo.Locked {
			e = wheel * p.Params.Gears[gg-1] * p.Params.Final
		}
		o.X, o.V, o.A = append(o.X, mix(tr.X)), append(o.V, v), append(o.A, mix(tr.A))
		o.Wheel, o.Engine, o.Boost = append(o.Wheel, wheel), append(o.Engine, e), append(o.Boost, mix(tr.Map))
		o.Gear, o.Full = append(o.Gear, g), append(o.Full, g > 0)
	}
	o.Lock = o.at(p.LaunchInfo.Locked - p.Rollout)
	for _, s := range p.Shifts {
		q := ShiftSeen{From: s.From, To: s.To, Start: s.Off - p.Rollout, End: s.On - p.Rollout, Missed: s.Missed}
		if w := interp(tr.TLog, tr.V, s.Off); w > 0 {
			q.Speed = w * (1 + interp(tr.TLog, tr.Slip, s.Off)) / o.Radius * p.Params.Gears[s.From-1] * p.Params.Final
		}
		lo := math.Inf(1)
		for i := o.at(q.Start); i <= o.at(q.End); i++ {
			lo = min(lo, o.Boost[i])
		}
		q.Lifted = lo < 0.55*o.Boost[max(0, o.at(q.Start)-5)]
		o.Shifts = append(o.Shifts, q)
	}
	return o
}

func interp(t, v []float64, at float64) float64 {
	for j := 1; j < len(t); j++ {
		if t[j] >= at {
			u := (at - t[j-1]) / (t[j] - t[j-1])
			return v[j-1]*(1-u) + v[j]*u
		}
	}
	return math.NaN()
}

func loadCar(t testing.TB, name string) (*car.Sheet, *car.Notes) {
	dir := reftest.Path(t, "logs")
	s, err := car.LoadSheet(filepath.Join(dir, "car_"+name+".toml"))
	if err != nil {
		t.Skip(err)
	}
	n, err := car.LoadNotes(filepath.Join(dir, "passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	return s, n
}

// The replay of each pass by the fitted model comes near the pass itself.
func TestReplay(t *testing.T) {
	for _, c := range []struct {
		car   string
		files []string
	}{
		{"marlin", []string{"a01_marlin", "a02_marlin", "a03_marlin", "a04_marlin", "a05_marlin", "a06_marlin"}},
		{"heron", []string{"b01_heron"}},
		{"otter", []string{"c01_otter_two_passes"}},
		{"wren", []string{"d01_wren_clock"}},
		{"tern", []string{"e01_tern"}},
		{"gannet", []string{"f01_gannet"}},
	} {
		sheet, notes := loadCar(t, c.car)
		var obs []*Observation
		for _, f := range c.files {
			tf := readTruth(t, f)
			for k := range tf.Passes {
				obs = append(obs, truthObservation(t, tf, k, sheet, notes))
			}
		}
		m, err := Fit(t.Context(), sheet, obs, Options{Members: 4})
		if err != nil {
			t.Errorf("%s: %v", c.car, err)
			continue
		}
		t.Logf("%s: torque spread %.3f, peak grip %.2f ± %.2f at %.3f ± %.3f, rate %.2f work %.2f swallow %.2f gate %.1f lag %.1f curve %.3f lifted %v decay %.1f heat %.2f dump %.2f over %.0f %.2f", c.car, m.TorqueSpread,
			m.PeakGrip.Value, m.PeakGrip.SD, m.PeakSlip.Value, m.PeakSlip.SD, m.Mean.Car.Boost.Rate, m.Mean.Car.Boost.Work, m.Mean.Car.Boost.Swallow, m.Mean.Car.Boost.Gate, m.Mean.Car.Boost.GateLag, m.Mean.Car.Engine.Curve, m.Mean.Car.Boost.Lifted, m.Mean.Car.Boost.Decay, m.Mean.Car.Boost.ShiftHeat, m.Mean.Car.Dump, m.Mean.Car.Boost.Over, m.Mean.Car.Boost.OverTime)
		t.Logf("  scale %.3f offset %.0f over %.1f±%.1f time %.3f±%.3f launch spread %.3f %.3f %.3f", m.Mean.Scale, m.Mean.Car.Boost.Offset, m.Driver.Over, m.Driver.OverSD, m.Driver.Time, m.Driver.TimeSD, m.Driver.SpreadV, m.Driver.SpreadT, m.Driver.SpreadH)
		for i, p := range m.Passes {
			t.Logf("  %s trap %.2f replay %.2f residual %+.2f; members %v; lock t %.2f x %.1f v %.1f head %.3f", p.Obs.ID, p.Obs.Trap, p.Trap, m.Mean.Residual[i], residuals(m, i), p.Replay.Start.Time, p.Replay.Start.X, p.Replay.Start.V, p.Replay.Start.Head)
		}
	}
	_ = xrand.Stream
}

func residuals(m *Model, i int) []float64 {
	var r []float64
	for _, q := range m.Members {
		r = append(r, math.Round(100*q.Residual[i])/100)
	}
	return r
}
