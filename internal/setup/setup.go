// Package setup tells with which settings a pass was run: boost target by gear, shift
// speeds, launch engine speed, nitrous, tyre pressure, mass, fuel; as the crew noted them and
// as the log shows them, and what differs between two passes. It reads and compares; what a
// log shows of a setting is a plain mean, median or extreme of a channel.
package setup

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Setting is one thing that is set before a pass.
type Setting struct {
	Name   string
	Gear   int                // from 1; 0 for the whole pass
	Dim    quantity.Dimension // of the values
	Gauge  bool               // a pressure over the barometer
	Noted  *float64           // SI unit of Dim; nil: not written down
	Logged *float64           // SI unit of Dim; nil: the log does not show it
	noise  float64            // SI unit of Dim: what a logged value may differ by without a change
	exact  float64            // SI unit of Dim: what a noted value may
}

// The names of the settings, in their order.
const (
	BoostTarget  = "boost target"
	BoostMean    = "boost, mean" // at full throttle; where no target is known
	ShiftSpeed   = "shift at"
	LaunchSpeed  = "launch at"
	Nitrous      = "nitrous"
	TyrePressure = "tyre pressure, cold"
	Mass         = "mass"
	Ethanol      = "ethanol in the fuel"
	Mixture      = "mixture target"
	Ignition     = "ignition"
)

// What a setting may differ by without having been changed. Common practice, no source,
// but for the shift speed: drivers scatter by some 70 rpm about their aim.
const (
	boostNoise    = 4e3                 // Pa
	meanNoise     = 8e3                 // Pa: weather and recovery move it too
	shiftNoise    = 150 * math.Pi / 30  // rad/s
	launchNoise   = 300 * math.Pi / 30  // rad/s
	tyreNoise     = 15e3                // Pa: a tyre warms by some kelvin before the pass
	ethanolNoise  = 0.03                // 1
	mixtureNoise  = 0.01                // 1
	ignitionNoise = 0.7 * math.Pi / 180 // rad
	launchBefore  = 0.6                 // s before the launch over which engine speed is taken
	flowing       = 0.5                 // 1: nitrous over it flows
	restBefore    = 10.0                // s before the launch over which tyre pressure is taken
	rpm           = math.Pi / 30        // rad/s
	boostExact    = 500.0               // Pa
	massExact     = 0.5                 // kg
)

// Of tells the settings of a pass. sheet and note may be nil. What is neither noted nor
// logged is left out.
func Of(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, note *car.PassNote) []Setting {
	r := &reader{p: p, set: set}
	if note == nil {
		note = &car.PassNote{ColdPressure: math.NaN(), LaunchSpeed: math.NaN(), Ethanol: math.NaN()}
	}
	for g := 1; g <= r.gears(len(note.BoostTarget)); g++ {
		r.add(Setting{Name: BoostTarget, Gear: g, Dim: quantity.DimPressure, Gauge: true, noise: boostNoise, exact: boostExact,
			Noted: at(note.BoostTarget, g), Logged: r.inGear(quantity.BoostTarget, g, stats.Median)})
		if span := r.span(g); span != nil && !r.has(BoostTarget, g) {
			r.add(Setting{Name: BoostMean, Gear: g, Dim: quantity.DimPressure, Gauge: true, noise: meanNoise, Logged: span.MeanBoost})
		}
	}
	for g := 1; g <= r.gears(len(note.ShiftAim)+1); g++ {
		s := Setting{Name: ShiftSpeed, Gear: g, Dim: quantity.DimRotation, noise: shiftNoise, exact: 5 * rpm, Noted: at(note.ShiftAim, g)}
		if span := r.span(g); span != nil {
			s.Logged = span.ShiftEngineSpeed
		}
		r.add(s)
	}
	r.add(Setting{Name: LaunchSpeed, Dim: quantity.DimRotation, noise: launchNoise, exact: 5 * rpm, Noted: known(note.LaunchSpeed),
		Logged: r.between(quantity.EngineSpeed, p.Launch.Value-launchBefore, p.Launch.Value, stats.Median)})
	r.add(Setting{Name: Nitrous, noise: 0.5, exact: 0.5, Noted: onOff(note.Nitrous), Logged: r.flowed()})
	r.add(Setting{Name: TyrePressure, Dim: quantity.DimPressure, Gauge: true, noise: tyreNoise, exact: 500, Noted: known(note.ColdPressure),
		Logged: r.between(quantity.TyrePressure, p.Launch.Value-restBefore, p.Launch.Value, stats.Median)})
	if sheet != nil && sheet.Mass.Value > 0 {
		m := sheet.Mass.Value + note.MassAdd
		r.add(Setting{Name: Mass, Dim: quantity.DimMass, exact: massExact, Noted: &m})
	}
	r.add(Setting{Name: Ethanol, Dim: quantity.DimShare, noise: ethanolNoise, exact: 0.005, Noted: known(note.Ethanol),
		Logged: r.between(quantity.EthanolFraction, p.Launch.Value, p.Launch.Value+60, stats.Median)})
	for g := 1; g <= r.gears(0); g++ {
		r.add(Setting{Name: Mixture, Gear: g, Dim: quantity.DimMixture, noise: mixtureNoise, Logged: r.inGear(quantity.LambdaTarget, g, stats.Median)})
	}
	for g := 1; g <= r.gears(0); g++ {
		r.add(Setting{Name: Ignition, Gear: g, Dim: quantity.DimAngle, noise: ignitionNoise, Logged: r.inGear(quantity.IgnitionAngle, g, stats.Median)})
	}
	return r.out
}

// Doubt tells whether log and notes contradict each other.
func (s Setting) Doubt() bool {
	return s.Noted != nil && s.Logged != nil && math.Abs(*s.Noted-*s.Logged) > max(s.noise, s.exact)
}

// Value is what the setting was, SI unit of Dim, as noted where it was noted.
func (s Setting) Value() (v float64, noted bool) {
	if s.Noted != nil {
		return *s.Noted, true
	}
	return *s.Logged, false
}

// Change is a setting that differs between two passes.
type Change struct {
	Setting
	From, To float64 // SI unit of Dim
	Logged   bool    // by the logs, or by one log and one note; else by the notes of both
}

// Differ lists what was set otherwise for pass b than for pass a, in the order of b: by the
// notes where both have it, else by the logs where both show it, else by what there is.
func Differ(a, b []Setting) []Change {
	var out []Change
	for _, s := range b {
		i := slices.IndexFunc(a, func(o Setting) bool { return o.Name == s.Name && o.Gear == s.Gear })
		if i < 0 {
			continue
		}
		o := a[i]
		c := Change{Setting: s}
		tolerance := max(s.noise, s.exact)
		switch {
		case o.Noted != nil && s.Noted != nil:
			c.From, c.To, tolerance = *o.Noted, *s.Noted, s.exact
		case o.Logged != nil && s.Logged != nil:
			c.From, c.To, c.Logged = *o.Logged, *s.Logged, true
		default:
			c.From, _ = o.Value()
			c.To, _ = s.Value()
			c.Logged = true
		}
		if math.Abs(c.To-c.From) > tolerance {
			out = append(out, c)
		}
	}
	return out
}
