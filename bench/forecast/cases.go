package main

import (
	"bytes"
	"context"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/fitcar"
	"traplight/internal/num/xrand"
)

// sharedSets groups the simulated logs by car, from their notes.
func sharedSets(dir string) ([]set, error) {
	path := filepath.Join(dir, "passes.toml")
	notes, err := car.LoadNotes(path)
	if err != nil {
		return nil, err
	}
	by := map[string]*set{}
	var order []string
	for i := range notes.Passes {
		p := &notes.Passes[i]
		s := by[p.Car]
		if s == nil {
			s = &set{kind: "shared", sheet: filepath.Join(dir, "car_"+p.Car+".toml"), notes: path}
			by[p.Car] = s
			order = append(order, p.Car)
		}
		if l := filepath.Join(dir, p.File); !slices.Contains(s.logs, l) {
			s.logs = append(s.logs, l)
		}
		for j := range notes.Planned {
			if q := &notes.Planned[j]; notes.After(q) == p {
				s.next = append(s.next, nextCase{q.ID, len(s.logs)})
			}
		}
	}
	var out []set
	for _, c := range order {
		out = append(out, *by[c])
	}
	return out, nil
}

// inventedSet makes a car of the demo with one to three passes and three planned
// ones, or what a shape makes of it, as files in dir. otherwise: one by other forms of its laws.
func inventedSet(dir string, seed uint64, sh *shape, otherwise bool) (set, error) {
	c := demo.RandomCar(seed)
	if otherwise {
		c = demo.OtherCar(seed)
	}
	s := set{kind: "invented", sheet: filepath.Join(dir, "car_"+c.ID+".toml"), notes: filepath.Join(dir, "passes.toml")}
	r := xrand.Stream(seed, "bench/forecast")
	st := append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)[r.IntN(3)]
	n := 1 + r.IntN(3)
	if sh.passes != nil {
		n = sh.passes(n)
	}
	strips := []demo.Strip{st}
	switch {
	case sh.season:
		strips = append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)
	case sh.strip != nil:
		st = *sh.strip
		strips[0] = st
	}
	if sh.next != nil {
		strips = append(strips, *sh.next)
	}
	air := demo.DrawWeather(st, xrand.Sub(seed, "day"))
	usual := c.Usual()
	plans := plansOf(r, seed, usual, air)
	if sh.next != nil {
		for k := range plans {
			plans[k].Strip = sh.next
			plans[k].Weather.Pressure += demo.DrawWeather(*sh.next, xrand.Sub(seed, "day")).Pressure - air.Pressure
		}
	}
	day := xrand.Sub(seed, "rig")
	s.made = &made{car: c}
	for i := range n {
		w := air
		w.Headwind += 0.6 * r.NormFloat64()
		w.AirTemp += float64(i)
		set, where := usual, st
		name := fmt.Sprintf("x%d-%d", seed, i+1)
		o := demo.PassOptions{ID: name, When: fmt.Sprintf("2033-06-11 %02d:20", 10+i), DaySeed: day}
		if sh.season {
			where, w, set, o.When, o.DaySeed = seasonDay(seed, usual, i)
		}
		o.Settings, o.Weather, o.Strip = &set, &w, &where
		o.Ideal = i == n-1 && sh == &plain
		if i == n-1 && sh.last != nil {
			sh.last(c, &o, seed)
		}
		switch {
		case sh.season && planAfter(i, n):
			o.Planned = plansOf(xrand.Stream(seed, "bench/forecast/plans/"+name), seed, set, w)
			for k := range o.Planned {
				o.Planned[k].ID = fmt.Sprintf("%s-q%d", name, k+1)
			}
		case i == n-1:
			o.Planned = plans
		}
		for _, p := range o.Planned {
			s.next = append(s.next, nextCase{p.ID, i + 1})
		}
		if i == n-1 {
			s.made.last, s.made.seed = o, xrand.Sub(seed, o.ID)
		}
		path := filepath.Join(dir, name+".csv")
		s.logs = append(s.logs, path)
		if _, err := os.Stat(path); err == nil {
			continue
		}
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return s, err
		}
		rec := demo.Generate(c, o, xrand.Sub(seed, name))
		if i == 0 {
			if err := os.WriteFile(s.sheet, c.SheetTOML(), 0o644); err != nil {
				return s, err
			}
			var text []byte
			for _, st := range strips {
				text = append(text, st.StripTOML()...)
			}
			if err := os.WriteFile(s.notes, text, 0o644); err != nil {
				return s, err
			}
		}
		f, err := os.OpenFile(s.notes, os.O_APPEND|os.O_WRONLY, 0o644)
		if err != nil {
			return s, err
		}
		// the recording's own name is the log's name in the notes
		if _, err := f.Write(bytes.ReplaceAll(rec.NoteTOML, []byte(rec.Name+".csv"), []byte(name+".csv"))); err != nil {
			return s, err
		}
		if err := f.Close(); err != nil {
			return s, err
		}
		if err := os.WriteFile(path, rec.CSV, 0o644); err != nil {
			return s, err
		}
		if err := os.WriteFile(strings.TrimSuffix(path, ".csv")+".truth.json", rec.Truth, 0o644); err != nil {
			return s, err
		}
	}
	return s, nil
}

// plansOf draws three planned passes after one at the settings usual.
func plansOf(r *rand.Rand, seed uint64, usual demo.Settings, air demo.Weather) []demo.PlannedPass {
	var plans []demo.PlannedPass
	for k := range 3 {
		later := air
		later.AirTemp += 2 * r.NormFloat64()
		later.Headwind += 0.6 * r.NormFloat64()
		p := demo.PlannedPass{ID: fmt.Sprintf("x%d-q%d", seed, k+1), MinutesLater: 40, Weather: &later}
		step := math.Round(5+20*r.Float64()) * 1e3
		if r.IntN(2) == 0 {
			step = -step
		}
		switch r.IntN(6) {
		case 0, 1:
			p.Text = fmt.Sprintf("upper gears %+.0f kPa", step/1e3)
			p.BoostAdd = gearsFrom(len(usual.Boost), len(usual.Boost)/2, step)
		case 2:
			p.Text = fmt.Sprintf("all gears %+.0f kPa", step/1e3)
			p.BoostAdd = gearsFrom(len(usual.Boost), 0, step)
		case 3:
			p.Text = fmt.Sprintf("lower gears %+.0f kPa", step/1e3)
			p.BoostAdd = gearsFrom(len(usual.Boost), 0, step)
			for g := 2; g < len(p.BoostAdd); g++ {
				p.BoostAdd[g] = 0
			}
		case 4:
			p.ShiftAdd = math.Round(150+100*r.Float64()) * math.Pi / 30
			if r.IntN(2) == 0 {
				p.ShiftAdd = -p.ShiftAdd
			}
			p.Text = fmt.Sprintf("shift points %+.0f rpm", p.ShiftAdd*30/math.Pi)
		case 5:
			p.Text = "cooler air"
			later.AirTemp -= 8
		}
		plans = append(plans, p)
	}
	return plans
}

func gearsFrom(n, from int, step float64) []float64 {
	out := make([]float64, n)
	for g := from; g < n; g++ {
		out[g] = step
	}
	return out
}

// observations reads logs, or takes what was kept of an earlier reading.
func (b *bench) observations(ctx context.Context, s set, logs []string) ([]*fitcar.Observation, error) {
	var all []*fitcar.Observation
	if b.variant.whole() && s.kind == "invented" || len(logs) > 1 {
		return b.together(ctx, s, logs)
	}
	for _, l := range logs {
		path, dir := filepath.Join(b.dir, filepath.Base(l)+".gob"), filepath.Join(b.dir, b.variant.name)
		if b.variant.reads() && s.kind == "invented" {
			path = filepath.Join(dir, filepath.Base(l)+".gob")
		}
		var obs []*fitcar.Observation
		if data, err := os.ReadFile(path); err == nil && gob.NewDecoder(bytes.NewReader(data)).Decode(&obs) == nil {
			all = append(all, obs...)
			continue
		}
		if s.kind == "invented" {
			var err error
			if l, err = b.variant.log(l, dir); err != nil {
				return nil, err
			}
		}
		obs, err := app.Observations(ctx, app.ForecastRequest{Cars: []string{s.sheet}, Notes: s.notes, History: []string{l}})
		if err != nil {
			return nil, err
		}
		var buf bytes.Buffer
		if err := gob.NewEncoder(&buf).Encode(obs); err == nil {
			_ = os.WriteFile(path, buf.Bytes(), 0o644)
		}
		all = append(all, obs...)
	}
	return all, nil
}

// together reads all logs at once, as the command does, so that passes are judged against one
// another, or takes what was kept.
func (b *bench) together(ctx context.Context, s set, logs []string) ([]*fitcar.Observation, error) {
	dir := filepath.Join(b.dir, b.variant.name)
	path := filepath.Join(dir, filepath.Base(logs[len(logs)-1])+fmt.Sprintf(".%d.gob", len(logs)))
	var kept []*fitcar.Observation
	if data, err := os.ReadFile(path); err == nil && gob.NewDecoder(bytes.NewReader(data)).Decode(&kept) == nil {
		return kept, nil
	}
	history := logs
	if s.kind == "invented" {
		var err error
		if history, err = b.variant.history(logs, dir); err != nil {
			return nil, err
		}
	}
	obs, err := app.Observations(ctx, app.ForecastRequest{Cars: []string{s.sheet}, Notes: s.notes, History: history})
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	if err := gob.NewEncoder(&buf).Encode(obs); err == nil && os.MkdirAll(dir, 0o755) == nil {
		_ = os.WriteFile(path, buf.Bytes(), 0o644)
	}
	return obs, nil
}

type truthFile struct {
	Passes []struct {
		Trap *struct {
			V float64 `json:"v_mean_66ft"`
		}
		Healthy         bool
		Counterfactuals map[string]*struct {
			Gain *float64 `json:"trap_gain"`
		}
		Sequels []struct {
			ID  string
			New run `json:"new_execution"`
			Old run `json:"same_execution"`
		}
	}
}

type run struct {
	V *float64 `json:"trap_mean_66ft"`
}

func readTruth(log string) (*truthFile, error) {
	data, err := os.ReadFile(strings.TrimSuffix(log, ".csv") + ".truth.json")
	if err != nil {
		return nil, err
	}
	t := &truthFile{}
	return t, json.Unmarshal(data, t)
}

func trueTrap(log, id string) (truth, last, same float64, err error) {
	t, err := readTruth(log)
	if err != nil {
		return 0, 0, 0, err
	}
	for _, p := range t.Passes {
		for _, s := range p.Sequels {
			if s.ID == id {
				if s.New.V == nil {
					return 0, 0, 0, fmt.Errorf("the true pass does not reach the line")
				}
				same, last = math.NaN(), math.NaN() // a last pass that was given up has no trap speed
				if p.Trap != nil {
					last = p.Trap.V
				}
				if s.Old.V != nil {
					same = *s.Old.V
				}
				return *s.New.V, last, same, nil
			}
		}
	}
	return 0, 0, 0, fmt.Errorf("the truth holds no %s", id)
}

// trueGains are the true gains by counterfactual for each pass of a log; nil
// where the truth has none.
func trueGains(log string) ([]map[string]float64, error) {
	t, err := readTruth(log)
	if err != nil {
		return nil, err
	}
	var out []map[string]float64
	for _, p := range t.Passes {
		var m map[string]float64
		for k, v := range p.Counterfactuals {
			if v != nil && v.Gain != nil {
				if m == nil {
					m = map[string]float64{}
				}
				m[k] = *v.Gain
			}
		}
		out = append(out, m)
	}
	return out, nil
}
