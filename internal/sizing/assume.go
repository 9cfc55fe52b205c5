package sizing

import (
	"math"
	"strings"

	"traplight/internal/car"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

// Assumption is a figure that went into the answer, with where it is from.
type Assumption struct {
	What   string  `json:"what"`
	Value  float64 `json:"value"`  // in Unit
	SD     float64 `json:"sd"`     // in Unit
	Unit   string  `json:"unit"`   // SI symbol, "" for a pure number
	Source string  `json:"source"` // "car sheet", "own passes", a publication, or "common practice, no source"
}

const practice = "common practice, no source"

// What no sheet tells. Standard deviations are meant to hold two cars of three.
var (
	// level is the power that a real car shows over that of the small model here, 1: driver,
	// launch and boost are never as smooth. Its spread is the model's own error (13 healthy
	// passes of six invented cars of an independent model: 0.96 to 1.05 times, 1.14 where
	// the driver lifted in wheelspin; see docs/sizing.md).
	level = quantity.Estimate{Value: 1, SD: 0.05}
	// gripUse is the share of the tyres' peak grip that a driver and a boost schedule use
	// on the mean while grip limits, 1.
	gripUse = quantity.Estimate{Value: 0.92, SD: 0.05}
	// peakSlip is the slip of peak grip, 1; Pacejka's published set peaks at 0.12 to 0.165.
	peakSlip = quantity.Estimate{Value: 0.12, SD: 0.025}
	// growth of the rolling radius with the square of speed, 1/(m/s)².
	growth = quantity.Estimate{Value: 3e-6, SD: 1.5e-6}
	// shape says how fast power falls off beside its peak, 1: 1 is the polynomial of
	// G. Genta, Motor Vehicle Dynamics (from memory) for free-breathing engines.
	shape = quantity.Estimate{Value: 1.4, SD: 0.5}
	// peakAt is the engine speed of peak power over that of the shifts, 1.
	peakAt = quantity.Estimate{Value: 0.96, SD: 0.035}
	// wind along the strip over a season's passes, m/s.
	wind = quantity.Estimate{Value: 0, SD: 1.5}
	// airTemp and its spread of a warm day's event, K, where no weather was stated; humid is
	// relative humidity, 0–1.
	airTemp = quantity.Estimate{Value: 298.15, SD: 5}
	humid   = quantity.Estimate{Value: 0.5, SD: 0.15}

	// Engine and air path.
	fill         = quantity.Estimate{Value: 0.95, SD: 0.06} // 1, volumetric efficiency over the manifold's density
	compressorEf = quantity.Estimate{Value: 0.70, SD: 0.04} // 1, where no map tells
	turbineEf    = quantity.Estimate{Value: 0.66, SD: 0.06} // 1, with bearing losses
	coolerEf     = quantity.Estimate{Value: 0.72, SD: 0.10} // 1, effectiveness
	inletRise    = quantity.Estimate{Value: 4, SD: 3}       // K, compressor inlet over ambient
	coolantRise  = quantity.Estimate{Value: 2, SD: 4}       // K, the cooler's medium over ambient
	inletLoss    = quantity.Estimate{Value: 3e3, SD: 1.5e3} // Pa, filter and pipe before the compressor
	coolerLoss   = quantity.Estimate{Value: 8e3, SD: 4e3}   // Pa, cooler and pipes behind it
	pipeBack     = quantity.Estimate{Value: 8e3, SD: 5e3}   // Pa over ambient behind the turbine
	richness     = quantity.Estimate{Value: 0.80, SD: 0.035}

	// Fuel system.
	fuelTemp   = quantity.Estimate{Value: 303, SD: 8}       // K
	dutyLimit  = 0.85                                       // 1, where the sheet states none
	pumpSpare  = 0.15                                       // 1, flow that a pump should have in hand over the engine's need
	lineSpeed  = 2.5                                        // m/s, in a feed line
	lineLoss   = 20e3                                       // Pa, in a feed line
	pumpVolts  = quantity.Estimate{Value: 13.3, SD: 0.4}    // V at a pump's terminals, wiring's loss taken off
	lineLength = 6.0                                        // m, feed with its fittings
	braking    = quantity.Estimate{Value: 0.5, SD: 0.07}    // g, mean over the stop, brakes and drag together
	reaction   = quantity.Estimate{Value: 1.0, SD: 0.3}     // s, from the line to the brakes
	boostShare = 0.03                                       // 1, how far the torque by gear departs from the boost by gear
	standard   = quantity.Estimate{Value: 101325, SD: 1000} // Pa, weather about the standard atmosphere
)

// gripOf is the tyres' peak grip, 1, by what they are called.
func gripOf(text string) (quantity.Estimate, string) {
	t := strings.ToLower(text)
	switch {
	case strings.Contains(t, "slick"):
		return quantity.Estimate{Value: 1.6, SD: 0.25}, "drag slick on a prepared start"
	case strings.Contains(t, "drag"):
		return quantity.Estimate{Value: 1.5, SD: 0.2}, "drag radial"
	case strings.Contains(t, "semi"):
		return quantity.Estimate{Value: 1.25, SD: 0.17}, "semi-slick"
	}
	return quantity.Estimate{Value: 1.15, SD: 0.17}, "road tyre"
}

// shiftOf is the time without torque, s, and how the boost comes back: the share of torque
// that is there at once, 1, and the time until all is, s.
func shiftOf(s *car.Sheet) (dead, first, back quantity.Estimate, how string) {
	t := strings.ToLower(s.Gearbox + " " + s.ShiftStyle)
	lifted := quantity.Estimate{Value: 0.7, SD: 0.25}
	if strings.Contains(strings.ToLower(s.Turbo), "large single") {
		lifted.Value = 0.95
	}
	switch {
	case strings.Contains(t, "dog") || strings.Contains(t, "sequential") || strings.Contains(t, "ignition cut"):
		return quantity.Estimate{Value: 0.07, SD: 0.03}, quantity.Estimate{Value: 0.85, SD: 0.1}, quantity.Estimate{Value: 0.25, SD: 0.12}, "dog box, throttle held"
	case strings.Contains(t, "no lift") || strings.Contains(t, "throttle held"):
		return quantity.Estimate{Value: 0.2, SD: 0.06}, quantity.Estimate{Value: 0.75, SD: 0.12}, quantity.Estimate{Value: 0.4, SD: 0.2}, "synchro box, throttle held"
	case strings.Contains(t, "synchro") || strings.Contains(t, "lifted"):
		return quantity.Estimate{Value: 0.32, SD: 0.07}, quantity.Estimate{Value: 0.5, SD: 0.15}, lifted, "synchro box, throttle lifted"
	}
	return quantity.Estimate{Value: 0.25, SD: 0.12}, quantity.Estimate{Value: 0.65, SD: 0.18}, quantity.Estimate{Value: 0.5, SD: 0.3}, "gearbox not described"
}

// exhaustTemp is the gas temperature before the turbine at rich full load, K: alcohols
// burn cooler.
func exhaustTemp(p fuel.Properties) quantity.Estimate {
	v := 1200 - 80*math.Min(1, p.Ethanol.Value) - 140*p.Methanol
	return quantity.Estimate{Value: v, SD: 60}
}

// efficiencyOf is the brake efficiency over the heat that the air can set free, 1, by the
// published range of consumption at rich full load; see docs/fuel-by-flow.md, from which the
// widening of 1.35 is.
func efficiencyOf(p fuel.Properties) quantity.Estimate {
	e := fuel.Efficiency(p.BSFC.Value, p.LHV.Value) / richness.Value
	return quantity.Estimate{Value: e, SD: e * math.Hypot(1.35*p.BSFC.SD/p.BSFC.Value, richness.SD/richness.Value)}
}
