package fitcar

import "math"

// A lift is one in wheelspin when the tyres slipped by spunLift of the peak's slip within
// spunBefore, s, before the throttle began to shut. Common practice, no source.
const spunLift, spunBefore = 1.5, 0.4

// SpunLifts is the share of the time for which the throttle was not open between launch and
// line, shifts apart, that began in wheelspin, 1: a driver whose tyres hold has no reason for
// those.
func (o *Observation) SpunLifts() float64 {
	peak := peakSlipPrior
	if o.PeakSlip != nil && o.PeakSlip.Value > 0 {
		peak = o.PeakSlip.Value
	}
	spins := func(i int) bool {
		for j := max(o.Lock, i-int(spunBefore/o.Step)); j <= i; j++ {
			rad := o.Radius * (1 + o.Growth*o.V[j]*o.V[j])
			if v := o.V[j]; v > 2 && !math.IsNaN(o.Wheel[j]) && o.Wheel[j]*rad/v-1 > spunLift*peak {
				return true
			}
		}
		return false
	}
	all, spun, from := 0.0, 0.0, o.Lock
	count := func(to int) {
		in := false // in a lift that began in wheelspin
		for i := from; i <= to && i < len(o.Full); i++ {
			if o.Full[i] || o.Gear[i] == 0 {
				in = false
				continue
			}
			in = in || spins(i)
			all += o.Step
			if in {
				spun += o.Step
			}
		}
	}
	for _, s := range o.Shifts {
		count(o.at(s.Start - 0.06))
		from = o.at(s.End + 0.2)
	}
	count(len(o.X) - 1)
	if all == 0 {
		return 0
	}
	return spun / all
}
