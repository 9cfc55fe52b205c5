package reconstruct

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"traplight/internal/car"
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

// LearnFor is Learn for the passes of one log, known without it: what they themselves
// contradict is left out and told, since tyres, body or fuel may have been changed since.
// sheet is the car as it was for that log; drag learnt under another drag area is not its
// drag. Either may be nil.
func LearnFor(own []*pass.Pass, sheet *car.Sheet, past []*pass.Pass) (k Knowledge, told []string) {
	same := make([]*pass.Pass, len(past))
	other := 0
	for i, p := range past {
		same[i] = p
		if d := p.Learnt.DragPrior; sheet != nil && d.SD > 0 && math.Abs(d.Value-sheet.DragArea.Value) > 1e-6 {
			q := *p
			q.Learnt.DragArea = quantity.Estimate{}
			same[i] = &q
			other++
		}
	}
	if other > 0 {
		told = append(told, quantity.Count(other, "pass of the history was", "passes of the history were")+" run with another drag area in the sheet: drag is not learnt there")
	}
	k = Learn(same)
	// Doubt is on the whole scale of each wheel; one common factor is other tyres.
	whole := k.Constants["wheel scale"]
	worst, by := 0.0, 0.0
	for _, p := range own {
		for name, e := range p.Learnt.Constants {
			prior, ok := k.Constants[name]
			if !ok {
				continue
			}
			mean := prior.Mean
			if strings.HasPrefix(name, "scale ") {
				mean += whole.Mean
			}
			off := math.Abs(e.Value-mean) / math.Hypot(e.SD, prior.SD)
			if off <= doubt {
				continue
			}
			if strings.HasPrefix(name, "scale ") {
				if off > worst {
					worst, by = off, e.Value/mean-1
				}
				continue
			}
			delete(k.Constants, name)
			told = append(told, fmt.Sprintf("the %s of the history's passes is not that of this pass (%.1f standard deviations): it is found anew", name, off))
		}
	}
	if worst > 0 {
		for name := range k.Constants {
			if name == "wheel scale" || name == "growth" || strings.HasPrefix(name, "scale ") {
				delete(k.Constants, name)
			}
		}
		told = append(told, fmt.Sprintf("the wheels' scale differs by %+.2f %% from the history's (%.1f standard deviations): other tyres, pressure or logger setting? It is found anew from this log", 100*by, worst))
	}
	for _, p := range own {
		d, prior := p.Learnt.DragArea, p.Learnt.DragPrior
		if k.DragArea == nil || !(d.SD > 0) || !(prior.SD > d.SD) {
			continue
		}
		w := 1/sq(d.SD) - 1/sq(prior.SD)
		v := (d.Value/sq(d.SD) - prior.Value/sq(prior.SD)) / w
		if off := math.Abs(v-k.DragArea.Value) / math.Hypot(1/math.Sqrt(w), k.DragArea.SD); off > doubt {
			k.DragArea = nil
			told = append(told, fmt.Sprintf("the drag of the history's passes is not that of this pass (%.1f standard deviations): it is not taken over", off))
		}
	}
	sort.Strings(told)
	return k, told
}

// doubt is at how many standard deviations a pass contradicts what the others taught.
const doubt = 4.0
