package reconstruct

import (
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// How the closing of the launch clutch is told. Common practice, no source.
const (
	atLine       = 0.3   // s before the launch over which what is held at the line is read
	lineFree     = 0.1   // s before the launch that are not: the clutch may be on its way already
	takeUpMost   = 4.0   // s, no clutch slips for longer and lives
	launchKnown  = 0.12  // s, spread of a launch beyond which nobody knows what belongs to it
	together     = 0.02  // of the ratio, within which engine and wheels turn together
	togetherFor  = 0.15  // s
	derivedAgree = 5e-4  // of the ratio: two sensors never agree so well
	cornerSD     = 0.025 // s, by which the corner where a clutch stops rubbing may be rounded
	byEngineSD   = 0.10  // s, of a closing that engine speed alone tells
	slowWheel    = 1.5   // m/s, below which wheel sensors are blind
)

// takeUp fills how the clutch took the car up.
func (k *work) takeUp() {
	if len(k.d.spans) == 0 || len(k.d.ratios) == 0 || k.w.launchSD() > launchKnown {
		return
	}
	t := &pass.TakeUp{}
	launch := k.w.launch
	if v, sd, ok := k.heldAtLine(launch); ok {
		t.EngineSpeed = &quantity.Estimate{Value: v, SD: sd}
	}
	gear := k.d.spans[0].Gear
	at, sd, ok := k.closing(launch, k.d.ratios[gear-1])
	if ok {
		t.Closed = &quantity.Estimate{Value: at, SD: sd}
		i := k.g.index(at)
		if v := k.g.engine[i]; !math.IsNaN(v) {
			t.ClosedAt = &v
		}
		if v, ok := k.lowestEngine(launch, at); ok {
			t.Lowest = &v
		}
	}
	t.Spun = k.spun(launch, gear)
	if t.EngineSpeed != nil || t.Closed != nil {
		k.p.TakeUp = t
	}
}

// heldAtLine is engine speed before the launch, rad/s, and its spread.
func (k *work) heldAtLine(launch float64) (mean, sd float64, ok bool) {
	var v []float64
	for i := k.g.index(launch - atLine); i <= k.g.index(launch-lineFree); i++ {
		if e := k.g.engine[i]; !math.IsNaN(e) {
			v = append(v, e)
		}
	}
	if len(v) < 3 {
		return 0, 0, false
	}
	mean = stats.Median(v)
	return mean, math.Max(stats.MAD(v), 0.005*mean), true
}

// closing is when the clutch closed, s, and its spread: engine speed comes down to what the
// driven wheels make of the gear's ratio. From there the two swing about each other on the
// shafts, so that the first meeting counts, or, where they never cross, the first time they
// stay together. Without a wheel sensor of their own, the engine is drawn down and turns
// upward again.
func (k *work) closing(launch, ratio float64) (at, sd float64, ok bool) {
	if !k.d.hasWheel || k.derivedWheel(ratio) {
		at, ok = clutchLock(k.g, launch)
		return at, byEngineSD, ok
	}
	tick := math.Max(gridStep, k.g.tick)
	hold, run := int(togetherFor/gridStep), 0
	before, seen := 0.0, false
	for i := k.g.index(launch); i < k.g.n && k.g.at(i) < launch+takeUpMost; i++ {
		apart, known := k.apart(i, ratio)
		switch {
		case known && seen && before > 0 && apart <= 0:
			// smoothing rounds the corner at which the clutch stops rubbing
			rate := math.Max((before-apart)/gridStep, 0.1)
			return k.g.at(i) + apart/rate, math.Hypot(math.Hypot(tick, cornerSD), 0.5*together/rate), true
		case known && math.Abs(apart) < together:
			run++
		default:
			run = 0
		}
		if run >= hold {
			return k.g.at(i - hold + 1), math.Hypot(tick, byEngineSD), true
		}
		before, seen = apart, known
	}
	return 0, 0, false
}

// apart is by how much the engine turns faster than the driven wheels would have it in a
// ratio, 1; false where either is not known.
func (k *work) apart(i int, ratio float64) (float64, bool) {
	if i < 0 || i >= k.g.n {
		return 0, false
	}
	e, w := k.g.engine[i], k.g.wheel[i]
	if math.IsNaN(e) || math.IsNaN(w) || w*k.b.Radius < slowWheel {
		return 0, false
	}
	return e/(w*ratio) - 1, true
}

// derivedWheel tells that the wheels' speed was worked out from the engine's, so that it
// says nothing of the clutch.
func (k *work) derivedWheel(ratio float64) bool {
	sp := k.d.spans[0]
	n, same := 0, 0
	for i := k.g.index(sp.From); i <= k.g.index(sp.To); i++ {
		if x, ok := k.apart(i, ratio); ok {
			n++
			if math.Abs(x) < derivedAgree {
				same++
			}
		}
	}
	return n > 10 && same > n*9/10
}

// lowestEngine is the lowest engine speed, rad/s, from the launch until 0.3 s after the
// clutch has closed.
func (k *work) lowestEngine(launch, closed float64) (float64, bool) {
	low := math.Inf(1)
	for i := k.g.index(launch); i <= k.g.index(closed+0.3); i++ {
		if e := k.g.engine[i]; !math.IsNaN(e) {
			low = math.Min(low, e)
		}
	}
	return low, !math.IsInf(low, 1)
}

// spun is the time, s, of tyre slip past the peak of grip in the launch's gear.
func (k *work) spun(launch float64, gear int) *float64 {
	if !k.curve.OK || !(k.curve.PeakSlip.Value > 0) {
		return nil
	}
	until := k.until
	for _, sp := range k.d.spans {
		if sp.Gear == gear {
			until = math.Min(until, sp.To)
			break
		}
	}
	sum, seen := 0.0, false
	for i := k.g.index(launch); i <= k.g.index(until); i++ {
		if s := k.slip[i]; !math.IsNaN(s) {
			seen = true
			if s > k.curve.PeakSlip.Value {
				sum += gridStep
			}
		}
	}
	if !seen {
		return nil
	}
	return &sum
}
