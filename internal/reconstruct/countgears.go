package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/gears"
	"traplight/internal/trace"
)

// How gears are counted from engine speed alone. Common practice, no source.
const (
	givenUp   = 2.5  // s of closed throttle, or of idling, after which the next pull starts in first gear again
	shiftLow  = 0.7  // 1, of the engine speed of the usual changes: no pass changes up below
	shiftSure = 0.9  // 1, of that speed, from which the engine usually falls
	flares    = 0.3  // s before the top of the flare
	slowFall  = 0.6  // 1/s, least rate of the fastest part of a fall: heavy clutches draw the engine down no faster
	shiftFits = 0.05 // 1, by which the engine may fall to beside the new ratio
	shiftNear = 0.08 // 1, by which it may stay over it: it was not drawn down to the new gear
	deepFall  = 0.35 // 1, by which it falls below the ratio of first to second as a launch clutch closes
)

// What speaks against a reading of a fall, natural logarithms, weighed by hand.
const (
	againstNever  = 20.0 // a change that the engine's speed hardly allows
	againstLow    = 1.5  // a change from under shiftSure of the usual speed
	againstDeep   = 4.0  // a change, for each unit that the engine falls further than the new ratio
	againstMost   = 2.0  // at most so much: tyres that had spun grip as the clutch closes
	againstLaunch = 1.0  // no change, before the first
	againstNone   = 6.0  // no change, later: at full throttle little else makes an engine fall
	againstUnused = 0.7  // each gear that is never reached: a car is geared for its strip
)

// countGears numbers the gears by the falls of engine speed under full throttle. All falls of
// a pull are read at once: an engine that the launch clutch draws down, or tyres that find
// grip, fall as in a change up, and who counts them has one too many at the end.
func (s *signals) countGears(gear []int, sheet *car.Sheet, idle float64) {
	x := s.engine.Trace
	usual := changesAt(x, sheet)
	open := s.opened(x, idle)
	for i := 0; i < len(x.T); {
		if !open[i] {
			i++
			continue
		}
		last := i
		j := i
		for ; j < len(x.T) && x.T[j]-x.T[last] <= givenUp; j++ {
			if open[j] {
				last = j
			}
		}
		changes := changesIn(x.Slice(x.T[i], x.T[last]), sheet.Gears, usual)
		now := 1
		for k := i; k < j; k++ {
			for now-1 < len(changes) && x.T[k] >= changes[now-1] {
				now++
			}
			gear[k] = now
		}
		i = j
	}
}

// opened tells by sample of x whether the throttle is open: by its channel, else an engine above
// idling.
func (s *signals) opened(x trace.Trace, idle float64) []bool {
	out := make([]bool, len(x.T))
	for i, t := range x.T {
		out[i] = x.V[i] > idle
		if s.throttle != nil {
			out[i] = sampleAt(s.throttle.Trace, t, 1) > 0.5
		}
	}
	return out
}

// fallen is one fall of engine speed: from where, rad/s, and when it has come how far.
type fallen struct {
	from, top, low float64 // rad/s: before the flare, at its top, at the end
	at, until      float64 // s, from top to low
}

// changesIn are the times, s, at which the next gear holds, of the changes up in one pull x of engine
// speed: that reading of all its falls against which least speaks.
func changesIn(x trace.Trace, ratios []float64, usual float64) []float64 {
	falls := fallsOf(x)
	// best by gear: what speaks against it, and which falls were changes
	type path struct {
		against float64
		changes []int
	}
	best := make([]path, len(ratios)+1)
	for g := range best {
		best[g].against = math.Inf(1)
	}
	best[1].against = 0
	for i, f := range falls {
		for g := len(ratios); g >= 1; g-- {
			stays, came := best[g], path{against: math.Inf(1)}
			stays.against += f.noChange(g, ratios, usual)
			if g > 1 {
				came.against = best[g-1].against + f.change(g, ratios, usual)
				came.changes = append(append([]int(nil), best[g-1].changes...), i)
			}
			if best[g] = stays; came.against < stays.against {
				best[g] = came
			}
		}
	}
	won := path{against: math.Inf(1)}
	for g := 1; g <= len(ratios); g++ {
		if p := best[g]; p.against+againstUnused*float64(len(ratios)-g) < won.against {
			won = path{p.against + againstUnused*float64(len(ratios)-g), p.changes}
		}
	}
	var out []float64
	for g, i := range won.changes {
		f := falls[i]
		want := ratios[g+1] / ratios[g] * f.from
		at := f.until
		for w := x.Slice(f.at, f.until); len(w.T) > 0; w.T, w.V = w.T[1:], w.V[1:] {
			if w.V[0] <= want*(1+shiftFits/2) {
				at = w.T[0]
				break
			}
		}
		out = append(out, at)
	}
	return out
}

// noChange is what speaks against a fall in gear g that is no change.
func (f *fallen) noChange(g int, ratios []float64, usual float64) float64 {
	switch {
	case f.top < shiftLow*usual: // tyres that find grip far below
		return 0
	case g > 1:
		return againstNone
	case len(ratios) > 1 && f.low < (ratios[1]/ratios[0]-deepFall)*f.top:
		return 0
	}
	return againstLaunch
}

// change is what speaks against a fall that is the change up into gear g.
func (f *fallen) change(g int, ratios []float64, usual float64) float64 {
	want := ratios[g-1] / ratios[g-2]
	over := math.Min(f.low/f.top, f.low/f.from) - want
	if over > shiftNear || f.top < shiftLow*usual {
		return againstNever
	}
	sum := math.Min(againstMost, againstDeep*math.Max(0, -over-shiftFits))
	if f.top < shiftSure*usual {
		sum += againstLow
	}
	return sum
}

// fallsOf are the falls in one pull of engine speed.
func fallsOf(x trace.Trace) (out []fallen) {
	if len(x.T) < 3 {
		return nil
	}
	v := make([]float64, int((x.T[len(x.T)-1]-x.T[0])/gridStep)+1)
	for i := range v {
		v[i] = sampleAt(x, x.T[0]+float64(i)*gridStep, 1)
	}
	at := func(i int) float64 { return x.T[0] + float64(i)*gridStep }
	for _, f := range gears.FallsFrom(v, nil, gridStep, slowFall) {
		q := fallen{from: v[f.Top], top: v[f.Top], low: v[f.Bottom], at: at(f.Top), until: at(f.Bottom)}
		if n := len(out); n > 0 && (q.at <= out[n-1].until) { // the rest of one fall
			if q.low < out[n-1].low {
				out[n-1].low, out[n-1].until = q.low, q.until
			}
			continue
		}
		if before := v[max(0, f.Top-int(flares/gridStep))]; before < q.top { // with the throttle held the engine flares as the clutch opens
			q.from = before
		}
		out = append(out, q)
	}
	return out
}

// changesAt is the engine speed, rad/s, of the usual changes up: the lowest that the sheet
// states, else the highest that the engine held in the log.
func changesAt(x trace.Trace, sheet *car.Sheet) float64 {
	low := math.Inf(1)
	for _, w := range sheet.UsualShiftSpeed {
		low = min(low, w)
	}
	if top := quantile(x.V, 0.995); !(low < top) {
		low = top
	}
	return low
}
