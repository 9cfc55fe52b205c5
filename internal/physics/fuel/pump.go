package fuel

import (
	"math"

	"traplight/internal/quantity"
)

// Pump is what feeds a rail: all pumps side by side, as their maker rates them.
type Pump struct {
	Flow  []float64 // m³/s, falling
	Press []float64 // Pa gauge at the outlet where each flow holds, rising; empty: nobody said
	Volts float64   // V at the pump for which the flows hold; 0: usualVolts
	// Measured says that the flow was measured in the car, engine running.
	Measured bool
}

// What a rating does not tell. Makers' curves of roller, gerotor and turbine pumps lose 5 to
// 11 % of their rated flow per bar and bring a third more at 13.5 V than at 11 to 12 (from
// memory); common practice, no source.
const (
	pumpLoss, pumpLossSD   = 0.08, 0.03   // 1 per bar of the flow at the lowest rating, where only one is stated
	beyondSD, betweenSD    = 0.015, 0.008 // 1 per bar beyond the points of a curve, and between them from the nearer
	usualPress, unstatedSD = 3e5, 0.08    // Pa gauge, and 1, where the rating says no pressure
	usualVolts             = 13.5         // V
	voltPower, voltPowerSD = 1.3, 0.3     // power of volts with which a pump's flow goes
	pumpSampleSD           = 0.05         // 1, from pump to pump, with age, filter and hot fuel
	measuredSD             = 0.025        // 1, with bucket and clock in the car, on its own volts
	leastPump              = 0.05         // 1, of the rating, to which a curve is followed
)

// At is the volume flow, m³/s, that the pump brings against a pressure, Pa gauge at its outlet,
// with volts, V, at its terminals. Straight lines between the rated points and on beyond them.
func (p *Pump) At(press float64, volts quantity.Estimate) quantity.Estimate {
	if len(p.Flow) == 0 || p.Flow[0] <= 0 {
		return quantity.Estimate{}
	}
	at, sample := p.Press, pumpSampleSD
	if p.Measured {
		sample = measuredSD
	}
	spread := sample * sample
	if len(at) != len(p.Flow) {
		at = []float64{usualPress}
		spread += unstatedSD * unstatedSD
	}
	n := len(at)
	slope, doubt := pumpLoss*p.Flow[0], pumpLossSD*p.Flow[0] // m³/s per bar
	i := 0
	if n > 1 {
		for i < n-2 && press > at[i+1] {
			i++
		}
		slope, doubt = (p.Flow[i]-p.Flow[i+1])/(at[i+1]-at[i])*1e5, betweenSD*p.Flow[0]
		if press < at[0] || press > at[n-1] {
			doubt = beyondSD * p.Flow[0]
		}
	}
	flow := p.Flow[i] - slope*(press-at[i])/1e5
	away := math.Abs(press - at[0])
	for _, x := range at[1:] {
		away = min(away, math.Abs(press-x))
	}
	flow = max(flow, leastPump*p.Flow[0])
	spread += math.Pow(doubt*away/1e5/flow, 2)
	if p.Measured { // the engine's own volts were in it
		return quantity.Estimate{Value: flow, SD: flow * math.Sqrt(spread)}
	}
	rated := p.Volts
	if rated <= 0 {
		rated = usualVolts
	}
	ratio := math.Log(volts.Value / rated)
	spread += math.Pow(voltPower*volts.SD/volts.Value, 2) + math.Pow(voltPowerSD*ratio, 2)
	flow *= math.Exp(voltPower * ratio)
	return quantity.Estimate{Value: flow, SD: flow * math.Sqrt(spread)}
}
