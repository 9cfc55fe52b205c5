package reconstruct

import (
	"math"
	"sort"
	"strings"

	"traplight/internal/motion"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Knowledge is what a car's passes together say of its sensors and of itself. The zero
// value knows nothing.
type Knowledge struct {
	Constants  map[string]motion.Prior // by name, each in its own unit
	DragArea   *quantity.Estimate      // m²
	Efficiency *quantity.Estimate      // 1
	Passes     int
}

// floors are the least spreads of a constant from pass to pass: pressure, wear and
// temperature move a tyre, firmware a delay (common practice, no source). Each in the
// constant's own unit.
var floors = map[string]float64{
	"scale":             8e-4,
	"growth":            1.5e-7,
	"load":              3e-5,
	"latency":           0.003,
	"lean":              0.004,
	"wheel lag":         0.001,
	"wheel travel":      0.003,
	"accelerometer lag": 0.001,
}

// Learn joins what passes say, each by itself, by a random-effects mean: within-pass
// errors and the scatter between passes (DerSimonian and Laird 1986, Controlled
// Clinical Trials 7, 177), never narrower than the floors.
func Learn(passes []*pass.Pass) Knowledge {
	k := Knowledge{Constants: map[string]motion.Prior{}, Passes: len(passes)}
	by := map[string][]quantity.Estimate{}
	var info, sum float64
	var eff []quantity.Estimate
	drag := 0
	var prior quantity.Estimate
	for _, p := range passes {
		for name, e := range p.Learnt.Constants {
			by[name] = append(by[name], e)
		}
		if d := p.Learnt.DragArea; d.SD > 0 && p.Learnt.DragPrior.SD > 0 {
			prior = p.Learnt.DragPrior
			// the pass's own say, without the prior that every pass shares
			w := math.Max(0, 1/sq(d.SD)-1/sq(prior.SD))
			if w > 0 {
				own := (d.Value/sq(d.SD) - prior.Value/sq(prior.SD)) / w
				info += w
				sum += w * own
				drag++
			}
		}
		if e := p.Learnt.Efficiency; e != nil && e.SD > 0 {
			eff = append(eff, *e)
		}
	}
	var scales []quantity.Estimate
	for name, list := range by {
		floor, ok := floors[name]
		wheel := strings.HasPrefix(name, "scale ")
		if wheel {
			floor, ok = floors["scale"], true
		}
		if !ok {
			continue
		}
		m := joined(list, floor)
		if wheel {
			scales = append(scales, m)
		}
		k.Constants[name] = motion.Prior{Mean: m.Value, SD: m.SD}
	}
	k.splitScales(scales)
	if drag > 0 {
		w0 := 1 / sq(prior.SD)
		v := (sum + prior.Value*w0) / (info + w0)
		k.DragArea = &quantity.Estimate{Value: v, SD: math.Max(math.Sqrt(1/(info+w0)), 0.02*v)}
	}
	if len(eff) > 0 {
		m := joined(eff, 0.03*eff[0].Value)
		k.Efficiency = &m
	}
	return k
}

// splitScales turns the wheels' whole scales into the common one and what each wheel
// differs by, as the smoother has them.
func (k *Knowledge) splitScales(scales []quantity.Estimate) {
	if len(scales) == 0 {
		return
	}
	mean, sd := 0.0, 0.0
	for _, s := range scales {
		mean += s.Value / float64(len(scales))
		sd = math.Max(sd, s.SD)
	}
	k.Constants["wheel scale"] = motion.Prior{Mean: mean, SD: sd}
	for name, p := range k.Constants {
		if strings.HasPrefix(name, "scale ") {
			k.Constants[name] = motion.Prior{Mean: p.Mean - mean, SD: p.SD}
		}
	}
}

// joined is the random-effects mean for a further pass: its SD is that of the next
// pass's own value, not only of the mean.
func joined(list []quantity.Estimate, floor float64) quantity.Estimate {
	sort.Slice(list, func(i, j int) bool { return list[i].Value < list[j].Value })
	var w, wx, w2 float64
	for _, e := range list {
		u := 1 / (sq(e.SD) + 1e-30)
		w += u
		wx += u * e.Value
		w2 += u * u
	}
	m := wx / w
	q := 0.0
	for _, e := range list {
		q += sq(e.Value-m) / (sq(e.SD) + 1e-30)
	}
	between := 0.0
	if n := float64(len(list)); n > 1 {
		if c := w - w2/w; c > 0 {
			between = math.Max(0, (q-(n-1))/c)
		}
	}
	between = math.Max(between, floor*floor)
	w, wx = 0, 0
	for _, e := range list {
		u := 1 / (sq(e.SD) + between)
		w += u
		wx += u * e.Value
	}
	return quantity.Estimate{Value: wx / w, SD: math.Sqrt(1/w + between)}
}
