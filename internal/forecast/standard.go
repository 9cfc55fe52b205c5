package forecast

import (
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/ledger"
	"traplight/internal/physics/air"
	"traplight/internal/sim"
)

// InStandardAir is a pass of the record as it would have been on another day on the same
// strip: in still air of the standard atmosphere at sea level, by the model, with what
// the standard corrections of power make of it beside it. Those know neither the wind nor
// that the engine holds its boost.
type InStandardAir struct {
	Pass  string  `json:"pass"`
	Trap  float64 `json:"trap_mps"`            // m/s, as it was
	Speed float64 `json:"standard_air_mps"`    // m/s, by the model
	SD    float64 `json:"standard_air_sd_mps"` // m/s: wind, the car's answer to air, the trap
	// SAE J607 is for dry air of 29.92 inHg and 60 °F, nearly that of the model's word;
	// SAE J1349 for dry air of 99 kPa and 25 °C, in which every car is slower. Null without humidity.
	J607  *Corrected `json:"sae_j607,omitempty"`
	J1349 *Corrected `json:"sae_j1349,omitempty"`
}

// Corrected is a trap speed by a correction of power.
type Corrected struct {
	Factor float64 `json:"factor"`    // 1, of power
	Speed  float64 `json:"speed_mps"` // m/s, trap speed times the factor's cube root
}

func corrected(trap, factor float64) *Corrected {
	return &Corrected{Factor: factor, Speed: trap * math.Cbrt(factor)}
}

// standardAir refers each pass with a trap speed to standard air.
func standardAir(m *fitcar.Model) []InStandardAir {
	var out []InStandardAir
	for k, p := range m.Passes {
		o := p.Obs
		if math.IsNaN(o.Trap) || o.Lifted() {
			continue
		}
		gain, ok := inReference(m, &m.Mean, k)
		if !ok {
			continue
		}
		var n, sum, squares float64
		for i := range m.Members {
			if g, ok := inReference(m, &m.Members[i], k); ok {
				n, sum, squares = n+1, sum+g, squares+g*g
			}
		}
		s := InStandardAir{Pass: o.ID, Trap: o.Trap, Speed: o.Trap + gain}
		if s.Pass == "" {
			s.Pass = o.File
		}
		if n > 1 {
			s.SD = math.Sqrt(max(0, squares/n-sum*sum/(n*n)))
		}
		s.SD = math.Hypot(s.SD, o.TrapSD)
		if rh := o.Humidity; !math.IsNaN(rh) {
			f, _ := air.CorrectionJ1349(o.Air.Temperature, o.Air.Pressure, rh)
			s.J1349 = corrected(o.Trap, f)
			s.J607 = corrected(o.Trap, air.CorrectionJ607(o.Air.Temperature, o.Air.Pressure, rh))
		}
		out = append(out, s)
	}
	return out
}

// inReference is what the reference air would add to pass k of the record, m/s, by a
// member; false when the car does not get to the line.
func inReference(m *fitcar.Model, mem *fitcar.Member, k int) (float64, bool) {
	c, p := m.Replay(mem, k)
	if c == nil {
		return 0, false
	}
	was, err := (&sim.Runner{Car: c, Rel: sim.Rough}).Run(p)
	if err != nil || !was.Complete {
		return 0, false
	}
	n := Next{Hour: 24, KnownTemp: p.Air.Temperature, Target: append([]float64(nil), p.Target...)}
	// what holds absolute pressure holds it in other air too
	if n.hold(m.Sheet.BoostSetpoint == "absolute", p.Air.Pressure-ledger.Reference.Pressure) != nil {
		return 0, false
	}
	p.Target, p.Air = n.Target, ledger.Reference
	n.cooler(c, p.Air.Temperature, &luck{})
	is, err := (&sim.Runner{Car: c, Rel: sim.Rough}).Run(p)
	if err != nil || !is.Complete {
		return 0, false
	}
	return is.Trap - was.Trap, true
}
