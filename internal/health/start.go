package health

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// AtStart is how warm something was, or how full, when the car was launched, beside
// how it usually is: the crew's doing and no fault, but what a pass is compared at.
type AtStart struct {
	Quantity quantity.Name `json:"quantity"`
	Value    float64       `json:"value_si"`    // SI unit of the quantity
	Usual    *float64      `json:"usual_si"`    // SI unit of the quantity, median of the earlier passes; nil for fewer than two
	Spread   *float64      `json:"usual_sd_si"` // SI unit of the quantity, standard deviation of the earlier passes
	Unusual  bool          `json:"unusual"`     // beyond what the earlier passes were started with
}

// startReadings are what is read at the launch, with the least difference that
// matters, SI unit of each (common practice, no source).
var startReadings = []struct {
	q     quantity.Name
	least float64
}{
	{quantity.CoolantTemperature, 6}, {quantity.OilTemperature, 8}, {quantity.GearboxTemperature, 10}, {quantity.FuelTemperature, 8},
	{quantity.CoolerWaterTemperature, 6}, {quantity.ChargeTemperature, 12}, {quantity.IntakeTemperature, 12}, {quantity.BottlePressure, 0.6e6},
}

// startOfPass gives the readings at the launch by quantity, SI unit of each.
func (f *frame) startOfPass() map[quantity.Name]float64 {
	out := map[quantity.Name]float64{}
	for _, r := range startReadings {
		x := f.first(r.q)
		if x == nil {
			continue
		}
		if v := f.atLaunch(x); !math.IsNaN(v) {
			out[r.q] = v
		}
	}
	return out
}

// started compares how the car was started with how it usually is.
func (j *judge) started() []AtStart {
	now := j.startOfPass()
	var out []AtStart
	for _, r := range startReadings {
		v, ok := now[r.q]
		if !ok {
			continue
		}
		a := AtStart{Quantity: r.q, Value: v}
		var past []float64
		for _, s := range j.past {
			if x, had := s.Start[r.q]; had {
				past = append(past, x)
			}
		}
		if len(past) >= 2 {
			usual := stats.Median(past)
			_, sd := stats.MeanSD(past)
			a.Usual, a.Spread = &usual, &sd
			a.Unusual = math.Abs(v-usual) > max(3*sd, r.least)
		}
		out = append(out, a)
	}
	return out
}
