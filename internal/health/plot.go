package health

import (
	"math"

	"traplight/internal/quantity"
)

// around is the time shown on either side of a finding's start, s.
const around = 2.5

// plots draws the readings that moved most about the start, with the model's
// expectation and the band in which a healthy pass stays.
func (j *judge) plots(c *candidate, start float64) []Plot {
	var out []Plot
	add := func(o *observation) {
		if o.rows == nil || len(out) >= 3 {
			return
		}
		if p := j.plot(o, start); len(p.Time) > 3 {
			out = append(out, p)
		}
	}
	add(c.main)
	for _, o := range c.covered {
		if o != c.main && o.evidence > 3 {
			add(o)
		}
	}
	return out
}

func (j *judge) plot(o *observation, start float64) Plot {
	p := Plot{Title: o.title, Unit: o.unit(j.opts.Units)}
	conv := o.convert(j.opts.Units)
	coef := o.expected()
	sd := 2 * math.Hypot(o.model.noise, o.model.wander[0])
	for i, t := range o.cells(j.frame).t {
		if t < start-around || t > start+around || !o.mask[i] || math.IsNaN(o.y[i]) {
			continue
		}
		e := o.predict(coef, i)
		if math.IsNaN(e) {
			continue
		}
		p.Time = append(p.Time, t)
		p.Reading = append(p.Reading, conv(o.y[i]))
		p.Expected = append(p.Expected, conv(e))
		p.Low, p.High = append(p.Low, conv(e-sd)), append(p.High, conv(e+sd))
	}
	return p
}

// unit is the unit of a watch's reading in a world.
func (o *observation) unit(w quantity.World) string {
	switch o.measure {
	case ofPressure:
		return w.Unit(quantity.DimPressure).Symbol
	case ofTemperature:
		if w.Name == "imperial" {
			return "°F difference"
		}
		return "K"
	case ofShare:
		return "%"
	case ofRate:
		return w.Unit(quantity.DimPressure).Symbol + "/s"
	case ofAngle:
		return w.Unit(quantity.DimAngle).Symbol
	case ofVoltage:
		return "V"
	}
	return o.measure.si()
}

// convert gives the reading in that unit: ratios as per cent of the middle.
func (o *observation) convert(w quantity.World) func(float64) float64 {
	switch o.measure {
	case ofPressure, ofRate:
		u := w.Unit(quantity.DimPressure)
		return func(v float64) float64 { return v / u.Factor }
	case ofTemperature:
		u := w.Unit(quantity.DimTemperature)
		return func(v float64) float64 { return v / u.Factor }
	case ofShare:
		mid := o.rows.Y[len(o.rows.Y)/2]
		return func(v float64) float64 { return 100 * math.Exp(v-mid) }
	case ofAngle:
		u := w.Unit(quantity.DimAngle)
		return func(v float64) float64 { return v / u.Factor }
	}
	return func(v float64) float64 { return v }
}
