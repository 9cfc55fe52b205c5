package plan

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// What is known of the gas of an exhaust that no channel shows, at full throttle. Common
// practice, no source.
const (
	// The limits of a sheet belong together: at the highest boost that it allows.
	sheetCooler = 50.0 // K under the limit
	// Rich, boosted engines at 200 kPa over the barometer, by fuel: gasoline, and what
	// pure methanol has less.
	gasolineGas = 1223.0 // K
	alcoholLess = 180.0  // K
	usualGauge  = 200e3  // Pa
	// Spread of either.
	unreadGas = 60.0 // K
)

// unreadGasAt is the gas' temperature, K, with boost, Pa gauge, and its spread, K, by fuel and
// sheet; each tells it at a boost of its own, from where practice's rise leads to others. Not
// ok where the sheet tells neither.
func (s *search) unreadGasAt(boost float64) (temp, sd float64, ok bool) {
	sheet := s.m.Sheet
	if s.gas > 0 {
		up := boost - slices.Max(s.ran.boost)
		return s.gas + heatRetard*up, math.Hypot(gasKnown, heatRetardSD*up), true
	}
	sum, weight := 0.0, 0.0
	see := func(temp, at float64) {
		w := 1 / (unreadGas*unreadGas + math.Pow(heatRetardSD*(boost-at), 2))
		sum, weight = sum+w*(temp+heatRetard*(boost-at)), weight+w
	}
	if sheet.StoichAFR > 0 {
		see(gasolineGas-alcoholLess*alcoholShare(sheet.StoichAFR), usualGauge)
	}
	if b := sheet.Limits.MaxBoost; b > 0 {
		see(sheet.Limits.MaxExhaustTemp-sheetCooler, b)
	}
	if weight == 0 {
		return 0, 0, false
	}
	return sum / weight, 1 / math.Sqrt(weight), true
}

// unreadHeat is the margin of a gear under the limit of the exhaust's temperature that no channel
// shows. That it was held with the highest boost run, with nitrous where it was ever on, is taken
// for granted. peak is the model's highest boost of the gear in the passes of the record, Pa gauge, 0
// where it has none: what went over the setting there goes over it again, and is too short to heat.
func (s *search) unreadHeat(g *sim.Gear, peak float64, fed bool) (margin, bool) {
	limit := s.m.Sheet.Limits.MaxExhaustTemp
	high := slices.Max(s.ran.boost)
	lasting := g.MaxBoost
	if i := g.Gear - 1; i >= 0 && i < len(s.ran.boost) {
		lasting -= max(0, peak-s.ran.boost[i])
	}
	temp, sd, ok := s.unreadGasAt(max(high, lasting))
	was, wasSD, _ := s.unreadGasAt(high)
	if lasting < high {
		temp -= heatRetard * (high - lasting)
	}
	if fed {
		temp, sd = temp+nitrousHeat, math.Hypot(sd, nitrousHeatSD)
		if everNitrous(s.m) {
			was, wasSD = was+nitrousHeat, math.Hypot(wasSD, nitrousHeatSD)
		}
	}
	return margin{g.Gear, exhaustTemp, Hard, 1 - temp/limit, sd / limit, &held{1 - was/limit, wasSD / limit}}, ok
}
