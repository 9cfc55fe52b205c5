package demo

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"traplight/internal/num/xrand"
)

// ChannelTrace is how far a fault moves one logged channel, of the 1 s means at the
// same time in the same gear, where it does so most.
type ChannelTrace struct {
	Quantity string
	Shift    float64 // SI, pass with the fault less its twin without, no noise
	Noise    float64 // SI, standard deviation of such a mean by the sensor's own noise and step
	Repeat   float64 // SI, root mean square of such a mean's change when the same pass is run again
}

// Traces is the trace of a fault in what is logged: what an observer could see at
// most.
type Traces struct {
	Channels []ChannelTrace // by Shift/Noise, largest first
	// Joint is the Mahalanobis distance of all channels' shifts together, standard
	// deviations, in the 1 s where it is largest, of the scatter of the sensors and of
	// the same pass run again: what a linear observer sees who knows the car from
	// that many passes at just these settings and in just this weather.
	Joint float64
	// Whole is the same for the means over all the time after the onset.
	Whole float64
}

// traceWindow is the length of the means, s, traceStep the distance of their samples.
const (
	traceWindow = 1.0
	traceStep   = 0.02
)

// Trace runs the pass of opts with its fault, its twin without and as many repeats
// of the twin (the same car, settings, strip and mean weather; another hand, other
// gusts, and temperatures at the start), and says what of the fault is in the
// channels of the log. seed and opts are those of Generate.
func Trace(c Car, opts PassOptions, seed uint64, repeats int) Traces {
	if opts.Fault == nil || opts.Fault.Kind == SensorFault {
		return Traces{}
	}
	ill, twin, chs, without := c.twins(opts, seed)
	from := ill.drv.tRelease + opts.Fault.After
	if opts.Fault.Always {
		from = ill.ss[0].t
	}
	opts = without
	slots := ill.slots(from)
	at := func(t *teller) [][]float64 { return t.windows(chs, slots) }
	sick, well := at(ill), at(twin)
	var again [][][]float64
	for i := range repeats {
		again = append(again, at(newTeller(c.plan(opts, xrand.Sub(seed, fmt.Sprintf("again/%d", i))).simulate(), c, logClock{}, 0)))
	}
	return weigh(chs, sick, well, again)
}

// twins runs the pass of opts with its fault and without it, in the same air, and gives the
// channels that can be compared and the options of the pass without.
func (c Car) twins(opts PassOptions, seed uint64) (ill, twin *teller, chs []channel, without PassOptions) {
	set := c.spec.sensors
	if opts.Sensors != "" {
		set = opts.Sensors
	}
	own := opts.DaySeed
	if own == 0 {
		own = seed
	}
	first := c.plan(opts, seed)
	ill = newTeller(first.simulate(), c, logClock{}, 0)
	chs = traceable(c, c.rig(set, own, first.air))
	opts.Fault = nil
	opts.Weather = &first.air
	return ill, newTeller(c.plan(opts, seed).simulate(), c, logClock{}, 0), chs, opts
}

// slot is a stretch of time in a gear.
type slot struct {
	gear     int
	from, to float64 // s from the gear's start
}

// slots cuts the time in gear after the onset into windows, the shifts left out.
func (t *teller) slots(from float64) []slot {
	var out []slot
	for _, sp := range t.spans {
		a := max(sp.from+0.3, from)
		for ; a+traceWindow < sp.to; a += traceWindow {
			out = append(out, slot{sp.gear, a - sp.from, a - sp.from + traceWindow})
		}
	}
	return out
}

// traceable keeps the channels that can be compared, with a plain reading for the
// special ones: wheels by their own speed, the satellite's speed, an accelerometer
// without its shake, knock without its background.
func traceable(c Car, chs []channel) []channel {
	var out []channel
	for _, ch := range chs {
		switch ch.special {
		case "wheel":
			driven := c.p.driven == allDriven || (ch.wheel < 2) == (c.p.driven == frontDriven)
			left := ch.wheel%2 == 0
			r := ch.circum / (2 * math.Pi)
			ch.get = func(s *sample) float64 {
				if !driven {
					return s.v
				}
				if left {
					return float64(s.wW) * r * (1 + 0.02*float64(s.flat))
				}
				return float64(s.wW) * r
			}
			ch.noise = 0.05 // m/s: a tooth in 12 ms
		case "gps":
			if ch.q != "gps_speed" {
				continue
			}
			ch.get = func(s *sample) float64 { return s.v }
		case "accel":
			ch.get = func(s *sample) float64 { return float64(s.a) }
		case "knock":
			ch.get = func(s *sample) float64 { return float64(s.knock) }
			ch.noise = 0.25 * c.p.knockBase
		case "lat", "gear":
			continue
		}
		if ch.get == nil || strings.HasSuffix(ch.q, "_on") {
			continue
		}
		out = append(out, ch)
	}
	return out
}

// windows is the mean of every channel, as its sensor lags, over every slot: by
// slot and channel, NaN where the run was not so long in that gear.
func (t *teller) windows(chs []channel, slots []slot) [][]float64 {
	out := make([][]float64, len(slots))
	for k := range out {
		out[k] = make([]float64, len(chs))
	}
	for j, ch := range chs {
		lagged := t.lagged(ch)
		for k, s := range slots {
			sum, n := 0.0, 0.0
			for _, sp := range t.spans {
				if sp.gear != s.gear {
					continue
				}
				for x := s.from; x < s.to && sp.from+x < sp.to; x += traceStep {
					sum, n = sum+lagged[t.idx(sp.from+x)], n+1
				}
			}
			out[k][j] = math.NaN()
			if n > 0.7*traceWindow/traceStep {
				out[k][j] = sum / n
			}
		}
	}
	return out
}

// lagged is a channel over the run as its sensor lags and scales, by sample, SI.
func (t *teller) lagged(ch channel) []float64 {
	out := make([]float64, len(t.ss))
	y := ch.get(&t.ss[0])
	for i := range t.ss {
		h := 0.0
		if i > 0 {
			h = t.ss[i].t - t.ss[i-1].t
		}
		k := 1.0
		if ch.lag > 0 {
			k = 1 - math.Exp(-h/ch.lag)
		}
		y += k * (ch.get(&t.ss[i]) - y)
		out[i] = y * ch.scale
	}
	return out
}

// weigh holds the shifts against the noise and the repeats.
func weigh(chs []channel, sick, well [][]float64, again [][][]float64) Traces {
	var tr Traces
	p := len(chs)
	shifts := make([][]float64, len(well)) // by slot, NaN where unknown
	whole, counted := make([]float64, p), 0.0
	var scatter [][]float64 // repeats' departures, all slots
	wholes := make([][]float64, len(again))
	for r := range wholes {
		wholes[r] = make([]float64, p)
	}
	for k := range well {
		shifts[k] = make([]float64, p)
		fine := true
		for j := range p {
			shifts[k][j] = sick[k][j] - well[k][j]
			fine = fine && finite(shifts[k][j])
			for r := range again {
				fine = fine && finite(again[r][k][j])
			}
		}
		if !fine {
			shifts[k] = nil
			continue
		}
		counted++
		for j := range p {
			whole[j] += shifts[k][j]
		}
		mean := make([]float64, p)
		for r := range again {
			for j := range p {
				mean[j] += again[r][k][j] / float64(len(again))
			}
		}
		for r := range again {
			d := make([]float64, p)
			for j := range p {
				d[j] = again[r][k][j] - mean[j]
				wholes[r][j] += d[j]
			}
			scatter = append(scatter, d)
		}
	}
	noise := make([]float64, p)
	for j, ch := range chs {
		noise[j] = math.Sqrt((ch.noise*ch.noise + ch.quantum*ch.quantum/12) / max(1, ch.rate*traceWindow))
	}
	for j, ch := range chs {
		c := ChannelTrace{Quantity: ch.q, Noise: noise[j]}
		for k := range shifts {
			if shifts[k] != nil && math.Abs(shifts[k][j]) > math.Abs(c.Shift) {
				c.Shift = shifts[k][j]
			}
		}
		for _, d := range scatter {
			c.Repeat += d[j] * d[j]
		}
		if n := len(scatter); n > 0 {
			c.Repeat = math.Sqrt(c.Repeat / float64(n))
		}
		tr.Channels = append(tr.Channels, c)
	}
	if counted == 0 || len(again) == 0 {
		return tr
	}
	cov := covariance(scatter, noise, 1)
	for _, s := range shifts {
		if s != nil {
			tr.Joint = max(tr.Joint, distance(s, cov))
		}
	}
	tr.Whole = distance(whole, covariance(wholes, noise, counted))
	sort.SliceStable(tr.Channels, func(a, b int) bool {
		return math.Abs(tr.Channels[a].Shift)/tr.Channels[a].Noise > math.Abs(tr.Channels[b].Shift)/tr.Channels[b].Noise
	})
	return tr
}

// covariance is the mean square of departures, with the noise of n means added up.
func covariance(d [][]float64, noise []float64, n float64) [][]float64 {
	p := len(noise)
	out := make([][]float64, p)
	for a := range p {
		out[a] = make([]float64, p)
		for b := range p {
			for _, x := range d {
				out[a][b] += x[a] * x[b] / float64(len(d))
			}
		}
		out[a][a] += n*noise[a]*noise[a] + 1e-30
	}
	return out
}

// distance is √(sᵀC⁻¹s), by Cholesky's factor.
func distance(s []float64, cov [][]float64) float64 {
	p := len(s)
	l := make([][]float64, p)
	z := make([]float64, p)
	d := 0.0
	for i := range p {
		l[i] = make([]float64, p)
		for j := 0; j <= i; j++ {
			v := cov[i][j]
			for m := range j {
				v -= l[i][m] * l[j][m]
			}
			if i == j {
				l[i][i] = math.Sqrt(max(v, 1e-30))
			} else {
				l[i][j] = v / l[j][j]
			}
		}
		v := s[i]
		for m := range i {
			v -= l[i][m] * z[m]
		}
		z[i] = v / l[i][i]
		d += z[i] * z[i]
	}
	return math.Sqrt(d)
}
