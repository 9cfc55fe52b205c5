package airpath

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

const (
	// Volumetric efficiency of a boosted four-valve engine near its power peak,
	// over manifold conditions, and its spread. Common practice, no source.
	usualFill, usualFillSD = 0.95, 0.08
	// Lag of a thermometer in the charge air, s. Common practice, no source: 0.5–3 s
	// for open elements.
	thermometerLag = 1.0
)

// charge fills in temperatures and air flow at peak power and the charge's warming
// over the pass.
func charge(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, m *boost, a *pass.AirPath) {
	sensor := chargeSensor(set)
	if sensor != nil {
		end := math.Inf(1)
		if n := len(p.Gears); n > 0 {
			end = p.Gears[n-1].End
		}
		x := sensor.Trace
		if first, ok := lastBefore(x, p.Launch.Value-5, p.Launch.Value); ok {
			if most := highest(set, sensor.Quantity, p.Launch.Value, end); most != nil {
				rise := *most - first
				a.ChargeRise = &rise
			}
		}
	}
	if p.Power == nil || m == nil {
		return
	}
	at := p.Power.At
	man, ok := m.gauge.Mean(at-0.05, at+0.05, m.gauge.LongestGap())
	if !ok {
		return
	}
	a.PeakManifold = man - m.offset + m.baro.Value
	if sensor == nil {
		return
	}
	temp, slope, n := line(sensor.Trace.Slice(at-0.6, at+0.6))
	if n < 2 {
		if temp, ok = sensor.Trace.At(at); !ok {
			return
		}
		slope = 0
	}
	// The element lags behind the air.
	temp += thermometerLag * slope
	a.PeakChargeTemp = temp
	if sheet != nil && sheet.Displacement > 0 && p.Power.EngineSpeed > 0 {
		// what would fill the swept volume: a volumetric efficiency of one
		swept := compressor.AirFlow(1, a.PeakManifold, sheet.Displacement, p.Power.EngineSpeed, temp)
		// 5 K for the thermometer's place and lag.
		own := math.Hypot(5/temp, m.offsetSD/a.PeakManifold)
		a.SweptFlow = &quantity.Estimate{Value: swept, SD: swept * own}
		rel := math.Hypot(usualFillSD/usualFill, own)
		a.AirFlow = &quantity.Estimate{Value: usualFill * swept, SD: usualFill * swept * rel}
	}
	blower(p, set, a, at)
}

// blower fills in compressor and cooler where there are thermometers on both
// sides.
func blower(p *pass.Pass, set *dictionary.Set, a *pass.AirPath, at float64) {
	outlet := set.First(quantity.CompressorOutletTemperature)
	if outlet == nil {
		return
	}
	t2, ok := outlet.Trace.At(at)
	if !ok {
		return
	}
	ambient := math.NaN()
	if p.Air != nil {
		ambient = p.Air.Temperature
	} else if c := set.First(quantity.AmbientTemperature); c != nil {
		ambient = stats.Median(c.Trace.V)
	}
	t1 := ambient
	// With an own thermometer after the cooler, the intake's is before the compressor.
	if c := set.First(quantity.IntakeTemperature); c != nil && set.First(quantity.ChargeTemperature) != nil {
		if v, ok := c.Trace.At(at); ok {
			t1 = v
		}
	}
	if t1 > 200 && t2 > t1+1 {
		rise := t2 - t1
		a.CompressorRise = &rise
		p2, p1 := a.PeakManifold, a.Barometer.Value
		if c := set.First(quantity.CompressorOutletPressure); c != nil {
			if v, ok := c.Trace.At(at); ok {
				p2 = v
			}
		}
		if c := set.First(quantity.CompressorInletPressure); c != nil {
			if v, ok := c.Trace.At(at); ok {
				p1 = v
			}
		}
		if e := compressor.Efficiency(t1, t2, p2/p1, compressor.GammaAir); e > 0.2 && e < 1.1 {
			a.CompressorEff = &e
		}
	}
	medium := ambient
	if c := set.First(quantity.CoolerWaterTemperature); c != nil {
		if v, ok := c.Trace.At(at); ok {
			medium = v
		}
	}
	if medium > 200 && a.PeakChargeTemp > 0 && t2 > medium+5 && set.First(quantity.ChargeTemperature) != nil {
		e := compressor.Effectiveness(t2, a.PeakChargeTemp, medium)
		a.CoolerEffectiveness = &e
	}
}
