package fitcar

import (
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// coldSensor is how far below the hottest a sensor may read, K, and still count: beyond
// it its cylinder does not burn, or the sensor is broken.
const coldSensor = 80.0

// exhaust keeps what the gas before the turbine read. One or two sensors may each sit
// before a turbine: the hotter one counts. More sit at cylinders, whose gas is mixed
// before the turbine: their mean counts.
func (o *Observation) exhaust(set *dictionary.Set) {
	var all [][]float64
	for _, c := range set.All(quantity.ExhaustTemperature) {
		if c.Trace.Len() < 20 {
			continue
		}
		v, any := make([]float64, len(o.X)), false
		for i := range v {
			y, ok := c.Trace.At(o.time(i) + o.Rollout)
			if !ok || y < 300 || y > 1700 {
				y = math.NaN()
			}
			v[i], any = y, any || ok
		}
		if any {
			all = append(all, v)
		}
	}
	if len(all) == 0 {
		return
	}
	o.Exhaust = make([]float64, len(o.X))
	for i := range o.Exhaust {
		top := math.NaN()
		for _, v := range all {
			if !(v[i] <= top) && !math.IsNaN(v[i]) {
				top = v[i]
			}
		}
		o.Exhaust[i] = top
		if len(all) < 3 {
			continue
		}
		sum, n := 0.0, 0.0
		for _, v := range all {
			if v[i] > top-coldSensor {
				sum, n = sum+v[i], n+1
			}
		}
		if n > 0 {
			o.Exhaust[i] = sum / n
		}
	}
}
