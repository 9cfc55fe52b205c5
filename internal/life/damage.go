package life

import (
	"math"
	"slices"

	"traplight/internal/num/rainflow"
)

// damage sums cycles and Miner's damage. The relative error of torque is taken as common to
// all passes: loss, mass and radius err the same way in each.
func (t *tally) damage() {
	e, p := t.entry, t.part
	p.Counting = "rainflow"
	if e.Revolutions {
		p.Counting = "revolutions"
	}
	var cycles []rainflow.Cycle
	rel := 0.0
	var each []float64
	for i := range t.by {
		c := t.by[i].seen.counted(e)
		cycles = append(cycles, c...)
		rel = math.Max(rel, t.by[i].pass.TorqueSD)
		if e.Slope > 0 && t.by[i].seen.known {
			each = append(each, rainflow.Damage(c, e.Slope, 1000, 1)) // any reference: only ratios are told
		}
	}
	p.Cycles = bins(cycles)
	if !(e.Slope > 0) || len(cycles) == 0 {
		return
	}
	eq, n := rainflow.Equivalent(cycles, e.Slope)
	p.Equivalent, p.EquivalentN = spread(eq, rel), n
	t.hardest(each)
	if !(e.Reference > 0) {
		return
	}
	d := spread(rainflow.Damage(cycles, e.Slope, e.Reference, e.Cycles), e.Slope*rel)
	d.Value, d.Low, d.High = d.Value+e.DamageBefore, d.Low+e.DamageBefore, d.High+e.DamageBefore
	d.AtLeast = t.unseen() > 0
	p.Damage = d
	p.DueDamage = usualDue
	if e.DueDamage > 0 {
		p.DueDamage = e.DueDamage
	}
}

// unseen counts the passes whose damage is neither counted nor stated.
func (t *tally) unseen() int {
	n := t.part.Passes - t.recordedKnown()
	if t.entry.DamageBefore > 0 {
		n -= t.entry.PassesBefore
	}
	return max(0, n)
}

// recordedKnown counts the passes whose log tells the load.
func (t *tally) recordedKnown() int {
	n := 0
	for i := range t.by {
		if t.by[i].seen.known {
			n++
		}
	}
	return n
}

// hardest finds the pass that took most, against the median.
func (t *tally) hardest(each []float64) {
	if len(each) < 2 {
		return
	}
	s := slices.Clone(each)
	slices.Sort(s)
	usual := (s[(len(s)-1)/2] + s[len(s)/2]) / 2
	best, k := -1.0, -1
	j := 0
	for i := range t.by {
		if !t.by[i].seen.known {
			continue
		}
		if each[j] > best {
			best, k = each[j], i
		}
		j++
	}
	if k >= 0 && usual > 0 {
		t.part.Hardest = &Hardest{t.by[k].pass.Name, best / usual}
	}
}

// spread is a figure whose logarithm has the standard deviation rel, 1.
func spread(v, rel float64) *Figure {
	return &Figure{Value: v, Low: v * math.Exp(-z95*rel), High: v * math.Exp(z95*rel)}
}

// bins puts cycles into ten steps of the greatest range; empty ones are left out.
func bins(cycles []rainflow.Cycle) []Bin {
	const steps = 10
	top := 0.0
	for _, c := range cycles {
		top = math.Max(top, c.Range())
	}
	out := []Bin{}
	if !(top > 0) {
		return out
	}
	var n [steps]float64
	for _, c := range cycles {
		n[min(steps-1, max(0, int(math.Ceil(c.Range()/top*steps-1e-9))-1))] += c.Count
	}
	for i, v := range n {
		if v > 0 {
			out = append(out, Bin{top * float64(i+1) / steps, v})
		}
	}
	return out
}
