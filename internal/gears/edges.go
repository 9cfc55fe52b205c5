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
	// the old gear's usual pull
	i0, i1 := q.idx(since), q.idx(right+0.06)
	pull := q.quantile(math.Max(since, left-1.2), left, 0.6)
	if !(pull > 0) {
		return e, false
	}
	// the last stretch of real pull before the new gear: what a clutch bites or
	// shafts ring is shorter
	m := max(2, int(pullSpan/q.Step+0.5))
	end := -1
	for k := q.idx(math.Min(left+0.03, right-q.Step)); k-m >= i0; k-- {
		sum := 0.0
		for j := k - m + 1; j <= k; j++ {
			sum += q.Hub[j]
		}
		if sum/float64(m) > 0.6*pull && q.Hub[k] > 0.4*pull {
			end = k
			break
		}
	}
	if end < 0 {
		return e, false
	}
	tw := q.From + float64(end)*q.Step
	e.Before = q.median(math.Max(since, tw-quietBefore-levelSpan), tw-quietBefore)
	half := e.Before / 2
	if !(e.Before > 0) {
		return e, false
	}
	// fall: the first sample below half after which torque stays away for 30 ms
	stay := max(2, int(0.03/q.Step+0.5))
	i := -1
	for k := max(1, end-int(0.1/q.Step)); k <= i1; k++ {
		if q.Hub[k] >= half || q.Hub[k-1] < half {
			continue
		}
		sum := 0.0
		for j := k; j < k+stay && j < len(q.Hub); j++ {
			sum += q.Hub[j] / float64(stay)
		}
		if sum < half {
			i = k - 1
			break
		}
	}
	if i < 0 {
		return e, false
	}
	// the low lies in the first second after the fall, before torque is back
	low := i + 1
	for k := i + 1; k <= min(i1, i+int(1/q.Step)); k++ {
		if q.Hub[k] < q.Hub[low] {
			low = k
		}
	}
	f := (q.Hub[i] - half) / (q.Hub[i] - q.Hub[i+1])
	e.Off = q.From + (float64(i)+f)*q.Step
	e.OffSlope = q.slope(i)
	// level after: what it becomes once the clutch has closed
	e.After = q.mean(right+0.12, right+0.12+levelSpan)
	want := math.Min(e.After, e.Before*ratio) / 2
	if !(want > 0) {
		want = e.Before * ratio / 2
	}
	// rise: the end is the first time after the low at which torque is above half and
	// the throttle above 0.3, and stays so for 20 ms or more (a clutch bite with the
	// throttle shut does not count)
	n := len(q.Hub)
	for k := max(min(low, q.idx(right)), i+2); k < n-1; k++ {
		t := q.From + float64(k)*q.Step
		if t > right+1.0 {
			break
		}
		if q.Hub[k] >= want && q.open(k) {
			e.On = t
			e.OnSlope = q.slope(k)
			if k > 0 {
				// which condition came last decides where between the samples it is
				f := 0.0
				if q.Hub[k-1] < want {
					f = (want - q.Hub[k-1]) / (q.Hub[k] - q.Hub[k-1])
				}
				if q.Throttle != nil && k > 0 && q.Throttle[k-1] <= throttleOn && q.Throttle[k] > throttleOn {
					ft := (throttleOn - q.Throttle[k-1]) / (q.Throttle[k] - q.Throttle[k-1])
					if ft > f {
						f = ft
						e.OnSlope = math.Inf(1)
					}
				}
				e.On = t - q.Step + f*q.Step
				if !math.IsInf(e.OnSlope, 1) {
					e.OnSpread = q.spread(k, want)
				}
			}
			return e, true
		}
	}
	return e, false
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
