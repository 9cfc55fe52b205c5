package health

import (
	"math"
	"slices"

	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
)

// On a first pass nobody knows the car's curves over gears and low boost, so that most of
// the first gear and of what bends with boost is left out of the comparison (matched.go).
// Within one stretch of full throttle in one gear, with the boost steady, nothing needs to be
// known of them: no map and no rotor leaps there, and what comes about within a second is no
// curve. Each such stretch is a baseline of its own.

const (
	steadyRate   = 60e3 // Pa/s, up to which boost is steady
	stretchBoost = 0.75 // of the upper quartile of a stretch's boost, from which its rows are compared
	steadyFor    = 15   // cells for which it must have been so: a lambda sensor's lag
	stretchMin   = 7    // rows, below which a stretch tells nothing
	stretchEnd   = 20   // cells before its end, in which a motion's smoother sees the shift or the lift coming
	leapRows     = 3    // rows before a leap, and after it
)

// quick is a disturbance that is there within a second.
var quick = shape{Rise: 1}

// withinGear scans the pass's steady stretches one by one and gives the observation that
// tells most: a stretch's or o itself, which is the whole pass's.
func (j *judge) withinGear(o *observation, l *look) *observation {
	times, least, ok := leapsAlone(l.id)
	if !ok || l.on != nil || l.whole {
		return o
	}
	f := j.frame
	for _, s := range f.stretches() {
		sub := *l
		sub.shapes = []shape{step, quick}
		if l.lawful { // torque rests on the car's motion
			s[1] = max(s[0], s[1]-stretchEnd)
		}
		sub.mask = f.within(l.mask, s)
		sub.small = max(l.small, least)
		sub.part, sub.stretch = true, true
		if sub.rows = f.collect(sub.mask, sub.y, sub.load, sub.feats...); sub.rows.len() < stretchMin {
			continue
		}
		own := sub.digestRows(sub.rows)
		m := sub.learn(nil, own)
		m.alone(own, &sub)
		m.noise, m.corr, m.excess = max(sub.noise/2, l.rows.rowToRow()), sub.corr, times
		if c := sub.leap(m); c != nil && c.evidence > o.evidence {
			o = c
		}
	}
	return o
}

// leap is the most telling disturbance of a stretch that comes after its first rows and is
// borne out by as many afterwards; nil for none.
func (l *look) leap(m *model) *observation {
	c := *l
	c.rows = l.rows.centred(m.center)
	o := &observation{look: &c, model: m}
	k, ok := o.ready()
	if !ok {
		return nil
	}
	var best changepoint.Hit
	for at := leapRows; at+leapRows <= c.rows.len(); at++ {
		for _, s := range c.shapes {
			if h, ok := k.At(s, at); ok && math.Abs(h.Z) > math.Abs(best.Z) {
				best = h
			}
		}
	}
	if best.Z == 0 {
		return nil
	}
	o.weigh(best)
	o.first = o.evidence
	return o
}

// likewise restricts a look of the same watch, of other readings, to the cells of the
// observation's stretch; a look itself where it is of no stretch, or on another grid.
func (o *observation) likewise(l *look) *look {
	if !o.stretch || l.on == nil || l.on.n != len(o.mask) {
		return l
	}
	c := *l
	c.part, c.stretch, c.shapes, c.small = true, true, o.shapes, o.small
	c.mask = l.on.mask(func(i int) bool { return l.mask[i] && o.mask[i] })
	c.rows = l.on.collect(c.mask, c.y, c.load, c.feats...)
	return &c
}

// stillThere is the evidence that other readings give a stretch's watch.
func (o *observation) stillThere(l *look) float64 {
	c := o.likewise(l)
	if c.rows.len() < stretchMin {
		return 0
	}
	if x := c.leap(o.model); x != nil {
		return x.evidence
	}
	return 0
}

// stretches are the runs of cells, first and one past the last, in one gear at full throttle.
func (f *frame) stretches() (out [][2]int) {
	from := -1
	for i := 0; i <= f.n; i++ {
		on := i < f.n && f.full[i] && f.gear[i] > 0
		if from >= 0 && (!on || f.gear[i] != f.gear[from] || f.since[i] < f.since[i-1]) {
			out, from = append(out, [2]int{from, i}), -1
		}
		if on && from < 0 {
			from = i
		}
	}
	return out
}

// within keeps, of the cells of a mask, those of a stretch in which boost is steady and near
// what it becomes there.
func (f *frame) within(mask []bool, s [2]int) []bool {
	least := nan()
	if b := slices.DeleteFunc(slices.Clone(f.boost[s[0]:s[1]]), math.IsNaN); len(b) > 0 {
		least = stretchBoost * stats.Quantile(b, 0.75)
	}
	return f.mask(func(i int) bool {
		return s[0] <= i && i < s[1] && mask[i] && f.steady(i) && !(f.boost[i] < least)
	})
}

// steady says whether boost has been steady up to a cell.
func (f *frame) steady(i int) bool {
	for k := max(0, i-steadyFor); k <= i; k++ {
		if r := f.boostRate[k]; !(r < steadyRate && r > -steadyRate) {
			return false
		}
	}
	return true
}

// leapAlone lists the relations that are compared within stretches, with how much larger
// than noise makes it Z is taken to come out there, 1, and what is asked for at least. On 378
// healthy passes of invented cars and 16 of the open logs the largest |Z| of such a size was
// 5.1 (torque), 3.9 (mixture), under 4 for the others; mixture from bank to bank 6.7 and
// ignition 8.2, which knock takes back by a degree or two on healthy passes too.
var leapAlone = []struct {
	id    string
	times float64
	least float64 // below which a departure does not matter here, unit of the watch; 0: the watch's own
}{
	{"lambda", 1.4, 0.03}, {"lambda apart", 2, 0.03}, {"back-pressure", 1.3, 0.08}, {"turbo speed", 1.3, 0.03}, {"ignition", 1.7, 0.06}, {"torque over air", 1.2, 0.06},
	{"injectors over air", 1.3, 0.05}, {"fuel flow over air", 1.3, 0.05}, {"wastegate", 1.3, 0.12}, {"charge heat", 1.5, 8},
}

func leapsAlone(id string) (times, least float64, ok bool) {
	for _, w := range leapAlone {
		if (role{watch: w.id}).covers(id) {
			return w.times, w.least, true
		}
	}
	return 0, 0, false
}
