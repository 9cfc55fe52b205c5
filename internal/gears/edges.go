package gears

import (
	"math"
	"sort"
)

// Torque is hub torque by sample for finding the edges of shifts.
type Torque struct {
	From, Step float64   // s: sample i is at From + i·Step
	Hub        []float64 // N·m
	Throttle   []float64 // 0–1, NaN unknown; nil without the channel
}

// Edge is a shift's beginning and end on the run clock, s, with the slopes of
// torque there, N·m/s, from which a standard deviation follows.
type Edge struct {
	Off, On           float64 // s
	OffSlope, OnSlope float64 // N·m/s
	Before, After     float64 // N·m, torque levels on both sides
	OnSpread          float64 // s, from 0.8 to 1.2 of the half level about On; 0 where the throttle decides
}

const (
	quietBefore = 0.08 // s before the end of the pull up to which the level before is taken
	pullSpan    = 0.12 // s that a pull lasts at least, longer than a clutch bite or a ring of the shafts
	levelSpan   = 0.22 // s over which levels are taken
	throttleOn  = 0.3  // 0–1, of the definition of a shift's end
)

func (q *Torque) idx(t float64) int {
	i := int(math.Round((t - q.From) / q.Step))
	return max(0, min(len(q.Hub)-1, i))
}

func (q *Torque) mean(t1, t2 float64) float64 {
	i, j := q.idx(t1), q.idx(t2)
	if j <= i {
		j = i + 1
	}
	sum := 0.0
	for k := i; k < j && k < len(q.Hub); k++ {
		sum += q.Hub[k]
	}
	return sum / float64(j-i)
}

// FindEdge finds where hub torque falls through half of what it was and rises
// through half of what it becomes, or of what it was scaled by the ratios if that
// is less, with the throttle back above 0.3. since is when the old gear's pull began,
// left where its ratio was last seen, right where the new one's was first seen (s);
// ratio is new overall ratio over old. ok is false when torque never fell.
func FindEdge(q *Torque, since, left, right, ratio float64) (e Edge, ok bool) {
	if right <= left {
		right = left + q.Step
	}
	end := q.lastPull(since, left, right)
	if end < 0 {
		return e, false
	}
	tw := q.From + float64(end)*q.Step
	e.Before = q.median(math.Max(since, tw-quietBefore-levelSpan), tw-quietBefore)
	if !(e.Before > 0) {
		return e, false
	}
	half := e.Before / 2
	last := q.idx(right + 0.06)
	i := q.fall(end, last, half)
	if i < 0 {
		return e, false
	}
	f := (q.Hub[i] - half) / (q.Hub[i] - q.Hub[i+1])
	e.Off = q.From + (float64(i)+f)*q.Step
	e.OffSlope = q.slope(i)
	// the low lies in the first second after the fall, before torque is back
	low := i + 1
	for k := i + 1; k <= min(last, i+int(1/q.Step)); k++ {
		if q.Hub[k] < q.Hub[low] {
			low = k
		}
	}
	// level after: what it becomes once the clutch has closed
	e.After = q.mean(right+0.12, right+0.12+levelSpan)
	want := math.Min(e.After, e.Before*ratio) / 2
	if !(want > 0) {
		want = e.Before * ratio / 2
	}
	ok = q.rise(&e, max(min(low, q.idx(right)), i+2), right+1, want)
	return e, ok
}

// lastPull is the last sample of the last stretch of real pull before the new
// gear: what a clutch bites or shafts ring is shorter. -1 when there is none.
func (q *Torque) lastPull(since, left, right float64) int {
	usual := q.quantile(math.Max(since, left-1.2), left, 0.6) // the old gear's usual pull
	if !(usual > 0) {
		return -1
	}
	m := max(2, int(pullSpan/q.Step+0.5))
	for k := q.idx(math.Min(left+0.03, right-q.Step)); k-m >= q.idx(since); k-- {
		sum := 0.0
		for j := k - m + 1; j <= k; j++ {
			sum += q.Hub[j]
		}
		if sum/float64(m) > 0.6*usual && q.Hub[k] > 0.4*usual {
			return k
		}
	}
	return -1
}

// fall is the last sample above half, from 0.1 s before end on, after which torque
// stays away for 30 ms; -1 when there is none up to last.
func (q *Torque) fall(end, last int, half float64) int {
	away := max(2, int(0.03/q.Step+0.5))
	for k := max(1, end-int(0.1/q.Step)); k <= last; k++ {
		if q.Hub[k] >= half || q.Hub[k-1] < half {
			continue
		}
		sum := 0.0
		for j := k; j < k+away && j < len(q.Hub); j++ {
			sum += q.Hub[j] / float64(away)
		}
		if sum < half {
			return k - 1
		}
	}
	return -1
}

// rise finds the end of the shift, from a sample on and up to a time, s: the first
// time at which torque is above want and the throttle above 0.3. A clutch that
// bites with the throttle shut does not count.
func (q *Torque) rise(e *Edge, from int, until, want float64) bool {
	for k := from; k < len(q.Hub)-1; k++ {
		t := q.From + float64(k)*q.Step
		if t > until {
			break
		}
		if q.Hub[k] < want || !q.open(k) {
			continue
		}
		e.On = t
		e.OnSlope = q.slope(k)
		if k == 0 {
			return true
		}
		// which condition came last decides where between the samples it is
		f := 0.0
		if q.Hub[k-1] < want {
			f = (want - q.Hub[k-1]) / (q.Hub[k] - q.Hub[k-1])
		}
		if q.Throttle != nil && q.Throttle[k-1] <= throttleOn && q.Throttle[k] > throttleOn {
			if ft := (throttleOn - q.Throttle[k-1]) / (q.Throttle[k] - q.Throttle[k-1]); ft > f {
				f = ft
				e.OnSlope = math.Inf(1)
			}
		}
		e.On = t - q.Step + f*q.Step
		if !math.IsInf(e.OnSlope, 1) {
			e.OnSpread = q.spread(k, want)
		}
		return true
	}
	return false
}

func (q *Torque) open(k int) bool {
	if q.Throttle == nil || math.IsNaN(q.Throttle[k]) {
		return true
	}
	return q.Throttle[k] > throttleOn
}

// spread is how long, s, torque took from 0.8 to 1.2 of a level that it passed upward
// just before sample k; at most 0.1 s.
func (q *Torque) spread(k int, level float64) float64 {
	a, b := k, k
	most := int(0.05/q.Step + 0.5)
	for a > max(0, k-most) && q.Hub[a-1] >= 0.8*level {
		a--
	}
	for b < min(len(q.Hub)-1, k+most) && q.Hub[b] < 1.2*level {
		b++
	}
	return float64(b-a) * q.Step
}

// slope is |dH/dt|, N·m/s, about sample i.
func (q *Torque) slope(i int) float64 {
	a, b := max(0, i-1), min(len(q.Hub)-1, i+2)
	return math.Abs(q.Hub[b]-q.Hub[a]) / (float64(b-a) * q.Step)
}

// median of hub torque between two times.
func (q *Torque) median(t1, t2 float64) float64 { return q.quantile(t1, t2, 0.5) }

func (q *Torque) quantile(t1, t2, share float64) float64 {
	i, j := q.idx(t1), q.idx(t2)
	x := append([]float64(nil), q.Hub[i:max(j, i+1)]...)
	sort.Float64s(x)
	return x[int(share*float64(len(x)-1)+0.5)]
}
