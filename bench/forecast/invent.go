package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/num/xrand"
)

// invention is an invented car on its day: what its passes are drawn from.
type invention struct {
	seed   uint64
	shape  *shape
	car    demo.Car
	usual  demo.Settings
	strip  demo.Strip   // where passes are run, but for a season's
	strips []demo.Strip // that the notes tell of
	air    demo.Weather
	n      int // passes
	plans  []demo.PlannedPass
	r      *rand.Rand
}

// inventedSet makes a car of the demo with one to three passes and three planned
// ones, or what a shape makes of it, as files in dir. otherwise: one by other forms of its laws.
func inventedSet(dir string, seed uint64, sh *shape, otherwise bool) (set, error) {
	c := demo.RandomCar(seed)
	if otherwise {
		c = demo.OtherCar(seed)
	}
	v := invent(c, seed, sh)
	s := set{kind: "invented", sheet: filepath.Join(dir, "car_"+v.car.ID+".toml"), notes: filepath.Join(dir, "passes.toml"), made: &made{car: v.car}}
	for i := range v.n {
		name := fmt.Sprintf("x%d-%d", seed, i+1)
		o := v.options(name, i)
		for _, p := range o.Planned {
			s.next = append(s.next, nextCase{p.ID, i + 1})
		}
		if i == v.n-1 {
			s.made.last, s.made.seed = o, xrand.Sub(seed, o.ID)
		}
		s.logs = append(s.logs, filepath.Join(dir, name+".csv"))
		if err := v.write(&s, name, i, o); err != nil {
			return s, err
		}
	}
	return s, nil
}

// invent draws where and in which air a car runs, and what is planned.
func invent(c demo.Car, seed uint64, sh *shape) *invention {
	v := &invention{seed: seed, shape: sh, car: c, r: xrand.Stream(seed, "bench/forecast")}
	v.strip = append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)[v.r.IntN(3)]
	v.n = 1 + v.r.IntN(3)
	if sh.passes != nil {
		v.n = sh.passes(v.n)
	}
	v.strips = []demo.Strip{v.strip}
	switch {
	case sh.season:
		v.strips = append([]demo.Strip{demo.HomeStrip()}, demo.OtherStrips()...)
	case sh.strip != nil:
		v.strip = *sh.strip
		v.strips[0] = v.strip
	}
	if sh.next != nil {
		v.strips = append(v.strips, *sh.next)
	}
	v.air = demo.DrawWeather(v.strip, xrand.Sub(seed, "day"))
	v.usual = v.car.Usual()
	v.plans = plansOf(v.r, seed, v.usual, v.air)
	if sh.next != nil {
		for k := range v.plans {
			v.plans[k].Strip = sh.next
			v.plans[k].Weather.Pressure += demo.DrawWeather(*sh.next, xrand.Sub(seed, "day")).Pressure - v.air.Pressure
		}
	}
	return v
}

// options are those of pass i, from 0, drawn in turn.
func (v *invention) options(name string, i int) demo.PassOptions {
	last := i == v.n-1
	w, set, where := v.air, v.usual, v.strip
	w.Headwind += 0.6 * v.r.NormFloat64()
	w.AirTemp += float64(i)
	o := demo.PassOptions{ID: name, When: fmt.Sprintf("2033-06-11 %02d:20", 10+i), DaySeed: xrand.Sub(v.seed, "rig")}
	if v.shape.season {
		where, w, set, o.When, o.DaySeed = seasonDay(v.seed, v.usual, i)
	}
	o.Settings, o.Weather, o.Strip = &set, &w, &where
	o.Ideal = last && v.shape == &plain
	if last && v.shape.last != nil {
		v.shape.last(v.car, &o, v.seed)
	}
	switch {
	case v.shape.season && planAfter(i, v.n):
		o.Planned = plansOf(xrand.Stream(v.seed, "bench/forecast/plans/"+name), v.seed, set, w)
		for k := range o.Planned {
			o.Planned[k].ID = fmt.Sprintf("%s-q%d", name, k+1)
		}
	case last:
		o.Planned = v.plans
	}
	return o
}

// write makes pass i and keeps its log and truth, the first with the sheet and the notes' strips,
// unless an earlier run has kept them.
func (v *invention) write(s *set, name string, i int, o demo.PassOptions) error {
	path := s.logs[i]
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	rec := demo.Generate(v.car, o, xrand.Sub(v.seed, name))
	if i == 0 {
		if err := os.WriteFile(s.sheet, v.car.SheetTOML(), 0o644); err != nil {
			return err
		}
		var text []byte
		for _, st := range v.strips {
			text = append(text, st.StripTOML()...)
		}
		if err := os.WriteFile(s.notes, text, 0o644); err != nil {
			return err
		}
	}
	f, err := os.OpenFile(s.notes, os.O_APPEND|os.O_WRONLY, 0o644)
	if err != nil {
		return err
	}
	// the recording's own name is the log's name in the notes
	_, err = f.Write(bytes.ReplaceAll(rec.NoteTOML, []byte(rec.Name+".csv"), []byte(name+".csv")))
	if err := errors.Join(err, f.Close()); err != nil {
		return err
	}
	if err := os.WriteFile(path, rec.CSV, 0o644); err != nil {
		return err
	}
	return os.WriteFile(strings.TrimSuffix(path, ".csv")+".truth.json", rec.Truth, 0o644)
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
