package motion

import "math"

const (
	reflectReach  = 4.0  // s, on either side within which a satellite reading is compared with others
	reflectStride = 0.2  // s, for which a median serves
	reflectLeast  = 0.8  // m/s, least departure that makes a reading doubtful
	reflectSDs    = 6.0  // 1, robust standard deviations that do
	reflectRest   = 4    // iterations in which a doubtful reading has next to no say
	reflectSay    = 1e-3 // 1, its say
)

// doubtReflections marks satellite readings that leave the course of those around them. A
// reflection is wrong for a second or more with all samples the same way, so a first solution that
// follows it would call the accelerometer noisy and stay there. Each reading is held
// against the median of what those within reach say of it, carried over by the accelerometer: its bias
// cancels as they stand on both sides, and a reflection is the minority. Doubt is for
// the first iterations only; after them weights follow the residuals.
func (r *Result) doubtReflections() {
	var acc *channel
	for k := range r.chans {
		if r.chans[k].src.Kind == Accelerometer && len(r.chans[k].idx) > shakeFew {
			acc = &r.chans[k]
		}
	}
	if acc == nil {
		return
	}
	// speed by the accelerometer alone, m/s, at its samples
	sum := make([]float64, len(acc.idx))
	at := func(j int) (t, a float64) { return acc.src.T[acc.idx[j]], acc.src.V[acc.idx[j]] }
	for j := 1; j < len(sum); j++ {
		t0, a0 := at(j - 1)
		t1, a1 := at(j)
		sum[j] = sum[j-1] + (a0+a1)/2*(t1-t0)
	}
	for k := range r.chans {
		ch := &r.chans[k]
		if ch.src.Kind != Satellite {
			continue
		}
		n := len(ch.idx)
		level := make([]float64, n) // what the reading has over the accelerometer's speed
		i := 0
		for j, m := range ch.idx {
			t := ch.src.T[m] - r.par.val(ch.lag)
			for i+2 < len(sum) && acc.src.T[acc.idx[i+1]] < t {
				i++
			}
			t0, _ := at(i)
			t1, _ := at(i + 1)
			f := math.Max(0, math.Min(1, (t-t0)/(t1-t0)))
			level[j] = ch.src.V[m] - sum[i] - f*(sum[i+1]-sum[i])
		}
		off, work := make([]float64, n), make([]float64, n)
		lo, hi := 0, 0
		mid, seen := 0.0, math.Inf(-1)
		for j, m := range ch.idx {
			t := ch.src.T[m]
			if t-seen < reflectStride {
				off[j] = level[j] - mid
				continue
			}
			for ch.src.T[ch.idx[lo]] < t-reflectReach {
				lo++
			}
			for hi < n && ch.src.T[ch.idx[hi]] <= t+reflectReach {
				hi++
			}
			mid, seen = median(level[lo:hi], work), t
			off[j] = level[j] - mid
		}
		far := math.Max(reflectLeast, reflectSDs*1.4826*medianAbs(append([]float64(nil), off...)))
		ch.doubt = make([]bool, n)
		for j, e := range off {
			ch.doubt[j] = math.Abs(e) > far
			if ch.doubt[j] {
				ch.wt[j] = reflectSay
			}
		}
	}
}
