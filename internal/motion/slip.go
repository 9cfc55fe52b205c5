package motion

import (
	"fmt"
	"math"

	"traplight/internal/num/banded"
)

// Beam is a time that the strip's own clock gave for a mark.
type Beam struct {
	Mark     string
	Distance float64 // m from the staged position
	Time     float64 // s from the start beam
}

// Slip is what the strip's clocks gave, to be weighed as measurements.
type Slip struct {
	Beams   []Beam
	Trap    float64 // m/s over the window, NaN unknown
	TrapTo  float64 // m from the staged position, end of the window
	Window  float64 // m
	Rollout Prior   // m from the staged position to where the start beam is given free
	StartSD float64 // s, how far the log may have the start off beyond what the smoother knows; in every beam's time
}

// Accuracy of a strip's clocks (the design's section 2; common practice, no source).
const (
	beamTick    = 0.001 // s, resolution of the clock at each beam
	beamPlace   = 0.03  // m, how far a mark's beam may stand from its place
	trapSpacing = 0.001 // 1, error of the trap's length
	conflict    = 4.0   // standard deviations at which a beam is told as a conflict and left out
)

// slipRow is one linearised reading of the strip: far-apart coefficients, so that it
// cannot enter the band and is added to the factorised system as a low-rank update.
type slipRow struct {
	name     string
	residual float64 // s or m/s
	variance float64 // of the reading, squared unit
	f        banded.Functional
	x, p     []float64 // posterior covariance with the unknowns, before the update
	g, gp    []float64 // gradient by band unknown from index from on, and by constant
	from     int
	by       [2]float64 // change with the scale of speed and its growth, where nothing in the log fixes them
	unfixed  scaled     // how well these are known
}

// cov is the covariance of two readings' misfits, less the readings' own.
func (q *slipRow) cov(o *slipRow) float64 {
	return banded.Cov(q.f, o.f) + q.unfixed.with(q.by, o.by)
}

// change is what a step does to the predicted reading, in its unit.
func (q *slipRow) change(dx, dp []float64) float64 {
	sum := 0.0
	for i, v := range q.g {
		if v != 0 {
			sum += v * dx[q.from+i]
		}
	}
	for i, v := range q.gp {
		sum += v * dp[i]
	}
	return sum
}

// slipRows evaluates the readings at the current unknowns; the system must be factorised.
func (r *Result) slipRows(s *Slip) []slipRow {
	if s == nil || r.rollout < 0 {
		return nil
	}
	rho := r.par.val(r.rollout)
	t0, ok := r.When(rho)
	if !ok {
		return nil
	}
	v0 := r.speedAt(t0)
	v0 = math.Max(v0, 0.2)
	var out []slipRow
	add := func(name string, residual, variance float64, ts, fs []float64, byRollout float64, by [2]float64) {
		g, from := r.distanceGradient(ts, fs)
		gp := make([]float64, len(r.par.list))
		gp[r.rollout] = byRollout
		residual += by[0]*r.shifted[0] + by[1]*r.shifted[1] // off what was taken before the log
		f := r.sys.Whiten(g, gp, from)
		x, p := r.sys.Back(f)
		out = append(out, slipRow{name, residual, variance, f, x, p, g, gp, from, by, r.unfixed})
	}
	for _, b := range s.Beams {
		t, ok := r.When(b.Distance)
		if !ok || b.Distance < 5 {
			continue
		}
		v := r.speedAt(t)
		v = math.Max(v, 1)
		// the clock started when the beam was given free; a mark's time grows as its
		// distance is reached later, and falls as the start beam is left later
		add(b.Mark, b.Time-(t-t0), sq(beamTick)/6+sq(beamPlace/v)+sq(s.StartSD), []float64{t, t0}, []float64{-1 / v, 1 / v0}, -1/v0, r.byScale(t, b.Distance))
	}
	if s.Trap > 0 && s.Window > 0 {
		t1, ok1 := r.When(s.TrapTo - s.Window)
		t2, ok2 := r.When(s.TrapTo)
		if ok1 && ok2 {
			v1 := r.speedAt(t1)
			v2 := r.speedAt(t2)
			mean := s.Window / (t2 - t1)
			k := mean / (t2 - t1)
			sd := mean * math.Hypot(trapSpacing, beamTick/math.Sqrt(6)/(t2-t1))
			add("trap", s.Trap-mean, sq(sd), []float64{t1, t2}, []float64{-k / v1, k / v2}, 0, [2]float64{mean, mean * mean * mean})
		}
	}
	return out
}

// agree drops readings that are far from the log, each by itself or all together, and
// says so. Together: by the joint test of the innovations e, eᵀS⁻¹e, which is distributed
// as chi-squared when slip and log are of one pass; a slip of another pass often lies
// within each reading's own spread, since the rollout is unknown, and yet not as a whole.
func (r *Result) agree(s *Slip) (*Slip, []string) {
	rows := r.slipRows(s)
	all := len(rows)
	var notes []string
	bad := map[string]bool{}
	drop := func(q slipRow, sds float64, by string) {
		bad[q.name] = true
		unit := "s"
		if q.name == "trap" {
			unit = "m/s"
		}
		notes = append(notes, fmt.Sprintf("the timing slip's %s is %+.3f %s off the log (%.1f standard deviations%s): another pass's slip, or a beam cut by something else; it is left out", q.name, q.residual, unit, sds, by))
	}
	var left []slipRow
	for _, q := range rows {
		sd := math.Sqrt(q.cov(&q) + q.variance)
		if math.Abs(q.residual) > conflict*sd {
			drop(q, math.Abs(q.residual)/sd, "")
		} else {
			left = append(left, q)
		}
	}
	for len(left) > 1 {
		sum := misfit(left)
		if sum <= chiSquared(len(left), conflict) {
			break
		}
		worst, least := 0, math.Inf(1)
		for i := range left {
			if m := misfit(without(left, i)); m < least {
				worst, least = i, m
			}
		}
		drop(left[worst], math.Sqrt(math.Max(0, sum-least)), " with the slip's other readings")
		left = without(left, worst)
	}
	if len(bad) == 0 {
		return s, nil
	}
	if 2*len(bad) >= all {
		return nil, append(notes, "most of the timing slip disagrees with the log: none of it is used")
	}
	out := *s
	out.Beams = nil
	for _, b := range s.Beams {
		if !bad[b.Mark] {
			out.Beams = append(out.Beams, b)
		}
	}
	if bad["trap"] {
		out.Trap = math.NaN()
	}
	return &out, notes
}

// misfit is eᵀS⁻¹e of the readings; infinite when their covariance is not positive.
func misfit(rows []slipRow) float64 {
	u, ok := newLowRank(rows)
	if !ok {
		return math.Inf(1)
	}
	e := make([]float64, len(rows))
	for i := range rows {
		e[i] = rows[i].residual
	}
	sum := 0.0
	for _, y := range u.half(e) {
		sum += y * y
	}
	return sum
}

func without(rows []slipRow, i int) []slipRow {
	return append(append([]slipRow(nil), rows[:i]...), rows[i+1:]...)
}

// chiSquared is the quantile of chi-squared with n degrees of freedom at which a normal
// variable is at z. Source: Wilson and Hilferty (1931), Proc. Natl. Acad. Sci. 17, 684–688
// (from memory).
func chiSquared(n int, z float64) float64 {
	k := 2 / (9 * float64(n))
	return float64(n) * math.Pow(1-k+z*math.Sqrt(k), 3)
}
