package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// measure says how a watch's size is told to people.
type measure int

// The measures; the watch's unit is in the comment.
const (
	ofPressure     measure = iota // Pa
	ofTemperature                 // K, difference
	ofShare                       // natural logarithm of a ratio, or a share of one
	ofLambda                      // 1
	ofSpeed                       // rad/s
	ofAngle                       // rad
	ofVoltage                     // V
	ofVelocity                    // m/s
	ofRate                        // Pa/s
	ofAcceleration                // m/s²
	ofCount                       // 1
)

// look is a watch applied to one pass: its spec, the cells it reads and the rows
// they give.
type look struct {
	spec
	mask  []bool
	y     []float64
	load  []float64
	feats [][]float64
	rows  *rowset
	reach *reach // beyond what was seen; nil: nothing is
	on    *frame // whose cells they are; nil: the pass's
	part  bool   // of the pass's rows, only those that matched leaves
	wide  []bool // then: the mask of all
	// stretch: only the rows of one stretch in one gear, see withinGear.
	stretch bool
	same    bool // taken over from the pass, of whose readings one channel was changed
}

// cells is the frame on which a look's cells lie.
func (l *look) cells(pass *frame) *frame {
	if l.on != nil {
		return l.on
	}
	return pass
}

// watcher gathers the looks of a pass.
type watcher struct {
	*frame
	looks []*look
}

// add keeps a look when it has rows enough to say anything.
func (w *watcher) add(s spec, mask []bool, y, load []float64, feats ...[]float64) {
	if len(feats)+1 != len(s.terms) {
		panic("health: terms and features of " + s.id + " differ in number")
	}
	if !s.whole && w.switching != nil {
		// Just after nitrous comes or goes nothing is in step.
		m := make([]bool, len(mask))
		for i := range mask {
			m[i] = mask[i] && !w.switching[i]
		}
		mask = m
	}
	if s.given != "" && w.halting {
		return
	}
	if at := w.unfed(); s.given != "" && !math.IsInf(at, 1) {
		// From here on nobody knows what warms.
		m := make([]bool, len(mask))
		for i := range mask {
			m[i] = mask[i] && w.t[i] < at
		}
		mask = m
	}
	if w.raced != nil && !s.whole {
		m := make([]bool, len(mask))
		for i := range mask {
			m[i] = mask[i] && !w.raced[i]
		}
		mask = m
	}
	mask = w.settled(s, mask)
	if w.chargeSupposed && slices.Contains(s.quantities, string(quantity.ChargeTemperature)) {
		// The air that the engine took is told with the doubt of what its charge warmed by.
		s.without, s.noise = uncharged, 2*s.noise
	}
	s.sensors = w.fitted(s.quantities)
	l := &look{spec: s, mask: mask, y: y, load: load, feats: feats}
	l.rows = w.collect(mask, y, load, feats...)
	if l.rows.len() < 4 {
		return
	}
	w.looks = append(w.looks, l)
}

// normal gives the engine speed over its reference, 1.
func (f *frame) normal() []float64 {
	return apply(f.n, func(i int) float64 { return f.speed[i] / f.nref })
}

// bar gives boost in units of 100 kPa.
func (f *frame) bar() []float64 {
	return apply(f.n, func(i int) float64 { return f.boost[i] / 1e5 })
}

// fullAfter is full throttle at least s seconds into the gear.
func (f *frame) fullAfter(s float64) []bool {
	return f.mask(func(i int) bool { return f.full[i] && f.since[i] > s })
}

func square(x []float64) []float64 {
	return apply(len(x), func(i int) float64 { return x[i] * x[i] })
}

func logOf(x []float64) []float64 {
	return apply(len(x), func(i int) float64 { return math.Log(x[i]) })
}

func times(a, b []float64) []float64 {
	return apply(len(a), func(i int) float64 { return a[i] * b[i] })
}

func scaled(x []float64, off, by float64) []float64 {
	return apply(len(x), func(i int) float64 { return (x[i] - off) / by })
}

func over(x []float64, knee float64) []float64 {
	return apply(len(x), func(i int) float64 { return max(x[i]-knee, 0) })
}

func clipped(x []float64, lo, hi float64) []float64 {
	return apply(len(x), func(i int) float64 { return max(lo, min(hi, x[i])) })
}

// named is "lambda 2" for an indexed channel, "lambda" for a lone one.
func named(id string, c *dictionary.Channel) string {
	if c.Index == 0 {
		return id
	}
	return fmt.Sprintf("%s %d", id, c.Index)
}

func names(cs ...*dictionary.Channel) []string {
	var out []string
	for _, c := range cs {
		if c != nil {
			out = append(out, c.Name)
		}
	}
	return out
}

// lone keeps, of several channels of one quantity, the most certain of each
// index, in the order of the index.
func (f *frame) lone(q quantity.Name) []*dictionary.Channel {
	best := map[int]*dictionary.Channel{}
	top := -1
	for _, c := range f.set.All(q) {
		if b := best[c.Index]; b == nil || c.Confidence > b.Confidence {
			best[c.Index] = c
		}
		top = max(top, c.Index)
	}
	var out []*dictionary.Channel
	for i := 0; i <= top; i++ {
		if c := best[i]; c != nil {
			out = append(out, c)
		}
	}
	return out
}

// others is, cell by cell, the median of the other columns.
func others(cols [][]float64, k int) []float64 {
	out := make([]float64, len(cols[k]))
	buf := make([]float64, 0, len(cols))
	for i := range out {
		buf = buf[:0]
		for j, c := range cols {
			if j != k && !math.IsNaN(c[i]) {
				buf = append(buf, c[i])
			}
		}
		out[i] = smallMedian(buf)
	}
	return out
}

func meanOf(cols [][]float64) []float64 {
	out := make([]float64, len(cols[0]))
	for i := range out {
		s, n := 0.0, 0.0
		for _, c := range cols {
			if !math.IsNaN(c[i]) {
				s, n = s+c[i], n+1
			}
		}
		out[i] = s / n
	}
	return out
}

// smallMedian sorts in place; NaN for none.
func smallMedian(x []float64) float64 {
	for i := 1; i < len(x); i++ {
		for j := i; j > 0 && x[j] < x[j-1]; j-- {
			x[j], x[j-1] = x[j-1], x[j]
		}
	}
	n := len(x)
	switch {
	case n == 0:
		return nan()
	case n%2 == 1:
		return x[n/2]
	}
	return (x[n/2-1] + x[n/2]) / 2
}
