package forecast

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/fitcar"
)

// What the model misses from pass to pass, relative to trap speed. Replays of eight passes
// of one car scatter by 0.0028 about the model, of which the mast's reading of the wind is 0.0021
// and has its own place in the luck; see docs/forecast.md.
const (
	missAlways = 0.0050 // 1, the model's own, lasting
	missDay    = 0.0020 // 1, lasts for a day
	missDoubt  = 0.1    // 1, of the correction that is carried on
	// missOdd is the correction, of the speed, beyond which the model lacks something of this car or
	// its log is misread: three times what stays with a sound one. What is over it is no more sure
	// than it is large
	missOdd = 3 * missAlways // 1
	// missBlind is what a car may miss of which no pass tells anything at the trap or near it: its
	// logs are misread, or all were given up early. Common practice, no source
	missBlind = 0.02 // 1
	// missOwn is the share of a poorly known trap speed's standard deviation that is that
	// pass's own, as a driven wheel's slip is; the rest, radius and its growth, is the car's
	missOwn  = 0.2    // 1
	missOnce = 0.0010 // 1, does not last: clutch, what else no draw of the luck holds
	// missGust is what gusts do to a pass that was run beside its mast's mean wind. Of the pass
	// to come they are in the wind's draw. 19 cars of package demo with 2 or 3 passes and the
	// true mean wind: replays scatter by 0.0019 without, 0.0022 with one odd car
	missGust = 0.0015 // 1
	// missFar is the e-fold of distance over which what the model misses becomes another: the
	// fit makes good what is missed on the way that was run, and only there. Common practice, no source
	missFar = 1.0 // 1
)

// missing is what a member will miss at the trap of the pass to come, m/s, mean and standard
// deviation, from what it missed in the record, and the standard deviation of what all its
// measured speeds err by together. The member was fitted to trap speeds that are themselves
// known to so much only: nothing foretells the next one better than the best known of them,
// but what all share is in no difference between two passes.
func missing(m *fitcar.Model, mem *fitcar.Member, n *Next) (mean, sd, shared float64) {
	past, kept := n.missed[mem.Car]
	if !kept {
		past = missedAtLine(m, mem)
	}
	past = slices.Clone(past)
	level := n.levelOf(m)
	best, all := known(m)
	fitted := max(0, all-best) // what the worse known passes may have made of the car
	for i := range past {
		past[i].sd = max(0, past[i].sd-best) // the errors go together; what all share is added below
	}
	more := excess(m)
	mean, sd = carryOver(missed{hour: n.Hour, far: farOf(n.Length)}, past, math.Hypot(missAlways*level, fitted), missDay*level, math.Hypot(math.Hypot(missOnce, missGust), more)*level)
	// a large correction is itself in doubt: what causes it answers to the settings too
	doubt := math.Hypot(missDoubt*mean, max(0, math.Abs(mean)-missOdd*level))
	if len(past) == 0 {
		doubt = missBlind * level
	}
	sd = math.Hypot(math.Hypot(sd, doubt), math.Hypot(missOnce, more)*level)
	return mean, math.Hypot(sd, m.MendedSD*level), best
}

// known is how well the trap speeds of the record are known: the standard deviation of the
// best known one and the root mean square of all that the fit leans on, m/s; 0 without any.
// Sensors of one car err alike, so more passes make it no better.
func known(m *fitcar.Model) (best, all float64) {
	n := 0.0
	for _, q := range m.Passes {
		if s := q.Obs.TrapSD; q.Weight > 0.5 && !math.IsNaN(q.Obs.Trap) && s > 0 {
			if n == 0 || s < best {
				best = s
			}
			all += s * s
			n++
		}
	}
	if n == 0 {
		return 0, 0
	}
	return best, math.Sqrt(all / n)
}

// knownNote tells when the record's own trap speeds are what the forecast is unsure of, and
// how much surer it is of the gain over the pass before.
func knownNote(m *fitcar.Model, gain *Spread) []string {
	last := lastTrap(m)
	best, _ := known(m)
	if best < missAlways*last {
		return nil
	}
	note := fmt.Sprintf("the trap speeds of the record are known to ± %.1f %% at best, for their logs have no good sensor of road speed: the forecast can be no surer, until a timing slip stands in the notes", 100*best/last)
	if gain != nil {
		note += fmt.Sprintf("; over the pass before it is %+.1f ± %.1f %%, for there the sensor's error drops out", 100*gain.Mean/last, 100*gain.SD/last)
	}
	return []string{note}
}

// missed is what a replay missed in one pass.
type missed struct {
	hour  float64 // h
	far   float64 // 1, logarithm of the place in m
	strip string  // id; "" any
	speed float64 // m/s
	sd    float64 // m/s, of the measured speed beyond what all passes share
}

// farOf is the place of a length, m, in missed.
func farOf(length float64) float64 {
	if length <= 0 {
		return 0
	}
	return math.Log(length)
}

// levelOf is the trap speed to come as the record has it, m/s.
func (n *Next) levelOf(m *fitcar.Model) float64 {
	if n.level > 0 {
		return n.level
	}
	return lastTrap(m)
}

// lastTrap is the last trap speed of the record, m/s, or a usual one.
func lastTrap(m *fitcar.Model) float64 {
	level := 80.0
	for _, q := range m.Passes {
		if !math.IsNaN(q.Obs.Trap) {
			level = q.Obs.Trap
		}
	}
	return level
}

// missedAtLine is what a member missed at the lines of the record.
func missedAtLine(m *fitcar.Model, mem *fitcar.Member) (past []missed) {
	for i, q := range m.Passes {
		if q.Weight > 0.5 && i < len(mem.Residual) && !math.IsNaN(mem.Residual[i]) {
			past = append(past, missed{hour: q.Obs.Hour, far: farOf(q.Obs.Length), speed: mem.Residual[i], sd: q.Obs.TrapSD})
		}
	}
	return past
}

// carryOver predicts what the model will miss in a pass to come, m/s, from what it
// missed before: mean and standard deviation of the lasting part. A Gaussian process of
// mean 0 with kernel always²·exp(−|Δ ln place|/missFar) + day²·exp(−|Δ|/24 h), the second on
// one strip only, and once² and the measurement's variance on the diagonal.
func carryOver(at missed, past []missed, always, day, once float64) (mean, sd float64) {
	n := len(past)
	if n == 0 {
		return 0, math.Hypot(always, day)
	}
	k := func(a, b *missed) float64 {
		v := always * always * math.Exp(-math.Abs(a.far-b.far)/missFar)
		if a.strip == b.strip || a.strip == "" || b.strip == "" {
			v += day * day * math.Exp(-math.Abs(a.hour-b.hour)/24)
		}
		return v
	}
	// Cholesky of the small system
	L := make([][]float64, n)
	for i := range L {
		L[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			s := k(&past[i], &past[j])
			if i == j {
				s += once*once + past[i].sd*past[i].sd
			}
			for q := 0; q < j; q++ {
				s -= L[i][q] * L[j][q]
			}
			if i == j {
				L[i][i] = math.Sqrt(max(s, 1e-12))
			} else {
				L[i][j] = s / L[j][j]
			}
		}
	}
	solve := func(b func(i int) float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			s := b(i)
			for q := 0; q < i; q++ {
				s -= L[i][q] * x[q]
			}
			x[i] = s / L[i][i]
		}
		return x
	}
	a, b := solve(func(i int) float64 { return k(&at, &past[i]) }), solve(func(i int) float64 { return past[i].speed })
	v := always*always + day*day
	for i := range a {
		mean += a[i] * b[i]
		v -= a[i] * a[i]
	}
	return mean, math.Sqrt(max(v, 0))
}
