package plan

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"traplight/internal/quantity"
)

// Measured is what knowing a limit that no channel shows would bring.
type Measured struct {
	Limit string  `json:"limit"`
	Gain  float64 `json:"gain_mps"` // m/s of expected trap speed, mean over what the measurement may show
	Low   float64 `json:"low_mps"`  // m/s, in the worst third of what it may show; under 0 the plan would have to go back
	High  float64 `json:"high_mps"` // m/s, in the best third
}

const (
	outcomes     = 3    // of a measurement, equally likely
	measureGain  = 0.15 // m/s, below which measuring is not worth a word
	measureNear  = 3.0  // 1, normal score of a limit beyond which it holds nothing back
	measureSteps = 8    // by slopes that a plan with a measurement takes

	// What a measurement leaves in doubt, 1 of the limit: the pump's flow in the car with the need by
	// duty or by the fuel burnt; a channel of duty, back pressure and rotor speed as their readings
	// repeat; of exhaust temperature, K.
	pumpKnown, dutyKnown, backKnown, turboKnown, gasKnown = 0.05, 0.008, 0.02, 0.006, 8.0
)

// measuring tells what a measurement of each limit that no channel shows and that takes of the accepted
// chance at settings x would bring: for each of what it may show, given that the passes run held the
// limit, the slopes l lead on to where the limits so known are held. The expected gain is the mean of
// those. was is the verdict that soft limits are held against.
func (s *search) measuring(ctx context.Context, x settings, was *verdict, l *slopes) (out []Measured) {
	if l == nil || len(l.turns) == 0 || s.hold || !s.opt.Bold && s.best < math.Inf(1) && was.trap > s.best+speedStep {
		return nil
	}
	now := s.judge(ctx, x, s.draws)
	was = asOften(was, &now)
	still := math.NaN()
	for _, c := range now.kinds {
		u, ok := s.unread[c.limit]
		if !ok || c.z > measureNear || ctx.Err() != nil || c.limit == fuelSupply && s.m.Sheet.FuelPumpMeasured {
			continue
		}
		if math.IsNaN(still) {
			// the same steps without a measurement bring what the luck of the confirmation took
			x, still = s.march(ctx, x, &now, was, l, "")
			now = s.judge(ctx, x, s.draws)
		}
		var gains []float64
		for k := range outcomes {
			t := *s
			t.unread, t.asHeld = maps.Clone(s.unread), maps.Clone(s.asHeld)
			delete(t.asHeld, c.limit)
			shown := u.shown((float64(k) + 0.5) / outcomes)
			t.unread[c.limit] = unread{share: shown, spread: s.knownTo(c.limit)}
			if c.limit == exhaustTemp {
				t.gas = shown * s.m.Sheet.Limits.MaxExhaustTemp
			}
			_, score := t.march(ctx, x, &now, was, l, c.limit)
			gains = append(gains, score-still)
			s.count = t.count
		}
		slices.Sort(gains)
		q := Measured{c.limit, round3(sum(gains) / outcomes), round3(gains[0]), round3(gains[outcomes-1])}
		if q.Gain >= measureGain {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b Measured) int {
		if a.Gain > b.Gain {
			return -1
		}
		return 1
	})
	return out
}

// shown is the share of the limit, 1, that a measurement shows with chance p, 0–1, of less, the limit
// having been held as run.
func (u *unread) shown(p float64) float64 {
	held := tail(math.Log(u.share) / u.spread)
	return u.share * math.Exp(-u.spread*math.Sqrt2*math.Erfcinv(2*p*held))
}

// knownTo is the spread, 1, that a measurement of a limit leaves.
func (s *search) knownTo(limit string) float64 {
	switch limit {
	case fuelSupply:
		return pumpKnown
	case injectors:
		return dutyKnown
	case backPressure:
		return backKnown
	case exhaustTemp:
		return gasKnown / s.m.Sheet.Limits.MaxExhaustTemp
	}
	return turboKnown
}

// march goes from x, whose verdict was then before the limit was known better, by the slopes l to where
// the hard limits are held as they are known now; it returns the settings and the score there, m/s.
func (s *search) march(ctx context.Context, x settings, then, was *verdict, l *slopes, limit string) (settings, float64) {
	v := s.judge(ctx, x, s.draws)
	c := l.sharper(limit, then, &v)
	room, reach := hardChance, 1.0
	best := math.Inf(-1)
	if v.hard <= hardChance {
		best = v.score
	}
	for range measureSteps {
		c.stand(s, &v)
		y, ok := c.best(x, room, reach)
		if !ok || ctx.Err() != nil {
			break
		}
		s.under(&y)
		w := s.judge(ctx, y, s.draws)
		switch {
		case s.allOK(&w, was) && w.score > best:
			x, v, best, reach = y, w, w.score, min(1, 2*reach)
		case v.hard > hardChance && w.hard < v.hard: // on the way back under the limits
			x, v = y, w
		case !s.narrow(c, x, y, &w, was, &room) || w.hard > hardChance:
			reach *= shorten
		}
	}
	return x, max(best, min(v.score, then.score))
}

// asOften is a verdict against which soft limits may be passed as often as in either of two.
func asOften(a, b *verdict) *verdict {
	c := *a
	c.gears = slices.Clone(a.gears)
	for g := range c.gears {
		q, o := &c.gears[g], &b.gears[g]
		q.pull, q.spin, q.low, q.cut = max(q.pull, o.pull), max(q.spin, o.spin), max(q.low, o.low), max(q.cut, o.cut)
	}
	return &c
}

// sharper are slopes whose normal scores of a limit go as much faster as it is known better in
// verdict now than it was then.
func (l *slopes) sharper(limit string, then, now *verdict) *slopes {
	c := &slopes{place: maps.Clone(l.place), marks: slices.Clone(l.marks), kinds: l.kinds, guess: l.guess}
	sd := func(v *verdict, gear int) float64 {
		if gear == anyGear {
			for i := range v.kinds {
				if v.kinds[i].limit == limit {
					return v.kinds[i].sd
				}
			}
		}
		return v.next(limitChance{gear: gear, limit: limit}).sd
	}
	for i := range l.turns {
		t := l.turns[i]
		t.hard = slices.Clone(t.hard)
		for at, k := range l.place {
			if a, b := sd(then, at.gear), sd(now, at.gear); at.limit == limit && k < len(t.hard) && a > 0 && b > 0 {
				t.hard[k] *= a / b
			}
		}
		c.turns = append(c.turns, t)
	}
	return c
}

// measuredBy says how each limit is measured.
var measuredBy = map[string]string{
	fuelSupply:   "the fuel pump's flow measured in the car (fuel_pumps_measured)",
	injectors:    "injector duty logged",
	backPressure: "turbine inlet pressure logged",
	turboSpeed:   "turbo speed logged",
	exhaustTemp:  "exhaust temperature logged",
}

// Text says it in a sentence, in the units of w.
func (q *Measured) Text(w quantity.World) string {
	return fmt.Sprintf("With %s the plan could go on by some %s in the mean of what that may show (%s to %s).",
		measuredBy[q.Limit], w.Rounded(quantity.DimSpeed, q.Gain, gainDoubt), w.Signed(quantity.DimSpeed, q.Low, gainDoubt), w.Signed(quantity.DimSpeed, q.High, gainDoubt))
}
