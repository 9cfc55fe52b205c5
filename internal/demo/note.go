package demo

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// timingSlip is what the strip's own beams gave: the clock starts when the car
// leaves the start beam, up to 0.08 s before a foot is covered, reads 1 ms, and
// the trap's beams stand right to 0.05 %.
func (t *teller) timingSlip(seed uint64) js {
	r := stream(seed, "slip")
	early := 0.08 * r.Float64()
	wide := 1 + 0.0005*r.NormFloat64()
	ms := func(x float64) float64 { return math.Round(x*1000) / 1000 }
	o := &t.out
	out := js{}
	key := map[int]string{0: "slip_60ft_s", 2: "slip_eighth_s", 4: "slip_quarter_s", 5: "slip_half_s"}
	for i, k := range key {
		if c := o.marks[i]; c.ok {
			out[k] = ms(c.t - o.tRollout + early)
		}
	}
	if o.line.ok && o.trapIn.ok {
		dt := ms((o.line.t - o.trapIn.t) * wide)
		out["slip_trap_mph"] = math.Round(trapLen/dt/0.44704*100) / 100
	}
	return out
}

// notes are the passes as the crew wrote them down.
func (c Car) notes(file string, opts PassOptions, runs []one, slips []js) []byte {
	b := &strings.Builder{}
	w := func(f string, a ...any) { fmt.Fprintf(b, f+"\n", a...) }
	for k, r := range runs {
		n := stream(r.seed, "notes")
		a := r.p.air
		w("[[pass]]")
		w("id = %q\nfile = %q\nindex = %d\ncar = %q\nevent = %q\nstrip = %q", opts.ID, file, k, c.ID, r.p.strip.ID, r.p.strip.ID)
		w("when = %q", later(opts.When, r.off/60))
		weatherTOML(b, Weather{AirTemp: a.AirTemp + 0.25*n.NormFloat64(), Pressure: a.Pressure + 30*n.NormFloat64(),
			Humidity: clamp(a.Humidity+0.02*n.NormFloat64(), 0.05, 1), Headwind: a.Headwind + 0.7*n.NormFloat64()}, "           # mast reading, rough")
		var boost []float64
		for g := range r.p.set.Boost {
			boost = append(boost, r.p.targetFor(g+1)) // over the barometer of this pass
		}
		w("boost_target_kpa_by_gear = %s", list(boost, 1e-3, 0))
		w("shift_rpm_aim = %s", list(r.p.set.ShiftSpeed, 1/rpm, 0))
		w("tyre_cold_bar = %.2f\nnitrous = %v", r.p.set.ColdPressure/1e5, r.p.set.Nitrous)
		w("launch_rpm = %.0f", r.p.set.LaunchSpeed/rpm)
		if r.p.set.MassAdd != 0 {
			w("mass_add_kg = %.0f", r.p.set.MassAdd)
		}
		for _, key := range []string{"slip_60ft_s", "slip_eighth_s", "slip_quarter_s", "slip_half_s"} {
			if v, ok := slips[k][key]; ok {
				w("%s = %.3f", key, v)
			}
		}
		if v, ok := slips[k]["slip_trap_mph"]; ok {
			w("slip_trap_mph = %.2f", v)
		}
		w("")
		for _, pl := range r.o.Planned {
			w("[[planned]]\nid = %q\nafter = %q\nminutes_later = %.0f\nchange = %q", pl.ID, opts.ID, pl.MinutesLater, pl.Text)
			if len(runs) > 1 {
				w("after_index = %d", k)
			}
			if pl.Strip != nil {
				w("strip = %q", pl.Strip.ID)
			}
			if pl.BoostAdd != nil {
				w("boost_add_kpa_by_gear = %s", list(pl.BoostAdd, 1e-3, 0))
			}
			if pl.ShiftAdd != 0 {
				w("shift_rpm_add = %.0f", pl.ShiftAdd/rpm)
			}
			if pl.Nitrous != nil {
				w("nitrous = %v", *pl.Nitrous)
			}
			if pl.ColdPressure > 0 {
				w("tyre_cold_bar = %.2f", pl.ColdPressure/1e5)
			}
			if pl.MassAdd != 0 {
				w("mass_add_kg = %.0f", pl.MassAdd)
			}
			if pl.DragAreaAdd != 0 {
				w("cda_add_m2 = %.3f", pl.DragAreaAdd)
			}
			wx := r.p.air
			if pl.Weather != nil {
				wx = *pl.Weather
			}
			weatherTOML(b, wx, "")
			w("")
		}
	}
	return []byte(b.String())
}

func weatherTOML(b *strings.Builder, a Weather, remark string) {
	fmt.Fprintf(b, "air_temp_c = %.1f\nstation_pressure_hpa = %.1f\nhumidity_pct = %.0f\nheadwind_mps = %.1f%s\n",
		a.AirTemp-kelvin, a.Pressure/100, a.Humidity*100, a.Headwind, remark)
}

func later(when string, minutes float64) string {
	t, err := time.Parse("2006-01-02 15:04", when)
	if err != nil {
		return when
	}
	return t.Add(time.Duration(minutes * float64(time.Minute))).Format("2006-01-02 15:04")
}

// StripTOML is a strip as a [[strip]] entry of the notes.
func (s Strip) StripTOML() []byte {
	return fmt.Appendf(nil, "[[strip]]\nid = %q\nname = %q\nlength_m = %.3f\ntrap_window_m = 20.1168\nelevation_m = %.0f\nheading_deg = %.0f\ngrade = %.4f\nshut_down_m = %.0f\n\n",
		s.ID, s.Name, s.Length, s.Elevation, s.Heading/deg, s.Grade, s.ShutDown)
}
