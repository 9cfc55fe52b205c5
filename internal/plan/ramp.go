package plan

import (
	"context"
	"fmt"
	"math"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// Ramp is boost by engine speed within a gear: from one figure where the gear begins to
// another where it ends, evenly in between.
type Ramp struct {
	Gear int        `json:"gear"`
	RPM  [2]float64 `json:"rpm"`       // rpm
	KPa  [2]float64 `json:"boost_kpa"` // kPa gauge
	Gain float64    `json:"gain_mps"`  // m/s of expected trap speed that this gear's course brings over its lower end all through
}

// Ramps are a further step beside the settings by gear, for a computer that can do it: what a
// limit of flow takes at the end of a gear, where the engine turns fastest, it need not take at
// its beginning; and where grip holds a gear's beginning, its end may carry more.
type Ramps struct {
	Gears []Ramp  // every gear that is not as the settings by gear have it
	Gain  float64 // m/s of expected trap speed over the settings by gear
	Hard  float64 // 0–1, chance of exceeding any hard limit
}

const (
	risesMost = 30e3 // Pa by which boost may rise within a gear
	fallsMost = 60e3 // Pa by which it may fall
	gainDoubt = 0.2  // m/s, of a gain over few passes
	rampGain  = 0.1  // m/s, below which boost by engine speed is not worth a word
	leastRamp = 5e3  // Pa, below which a gear is left even
)

// RampText says in a sentence what boost by engine speed is offered and what it brings, m/s; ""
// where there is none.
func RampText(ramps []Ramp, gain float64, w quantity.World) string {
	if len(ramps) == 0 {
		return ""
	}
	var all []string
	for _, r := range ramps {
		way := "falling"
		if r.KPa[1] > r.KPa[0] {
			way = "rising"
		}
		text := fmt.Sprintf("gear %d %s", r.Gear, w.Pressure(r.KPa[0]*kpa))
		if r.KPa[0] == r.KPa[1] {
			text += " all through"
		} else {
			text += fmt.Sprintf(" at %.0f rpm %s to %s at %.0f rpm", r.RPM[0], way, w.Pressure(r.KPa[1]*kpa), r.RPM[1])
		}
		all = append(all, text)
	}
	return fmt.Sprintf("Boost by engine speed, if the computer can, these gears together or none: %s (%s expected). More boost at lower engine speed was not run before: watch for knock and for a surging compressor.",
		strings.Join(all, "; "), w.Signed(quantity.DimSpeed, gain, gainDoubt))
}

// within looks for boost by engine speed within gears that brings more than x, the plan by gear, under
// the same limits; shift speeds stay. from are the settings that soft limits are held against. nil
// where it brings too little.
func (s *search) within(ctx context.Context, x, from settings) *Ramps {
	if s.hold || len(x.boost) < 2 {
		return nil
	}
	for _, r := range s.speeds(x) {
		s.inner = append(s.inner, max(1, r[1]/max(1, r[0])))
	}
	defer func() { s.inner = nil }()
	y := x.clone()
	y.rise = make([]float64, len(y.boost))
	v, was := s.judge(ctx, y, s.draws), s.judge(ctx, from, s.draws)
	y, w, l := s.polish(ctx, y, v, was)
	if w.score < v.score+rampGain {
		return nil
	}
	y, w = s.confirm(ctx, y, from, l)
	sloping := false
	for g := range y.rise {
		if math.Abs(y.rise[g]) < leastRamp {
			y.boost[g], y.rise[g] = y.lows().boost[g], 0
		}
		sloping = sloping || y.rise[g] != 0
	}
	if !sloping {
		return nil
	}
	n, seed := len(w.traps), s.seed
	s.seed++ // the luck that confirmed it
	v, w = s.judge(ctx, x, n), s.judge(ctx, y, n)
	s.seed = seed
	gain, _ := differ(v.traps, w.traps)
	if ctx.Err() != nil || w.hard > hardChance || gain < rampGain {
		return nil
	}
	out := &Ramps{Gain: round3(gain), Hard: math.Round(1e5*w.hard) / 1e5}
	speeds := s.speeds(y)
	own := s.judge(ctx, y, s.draws)
	for g := range y.boost {
		even := y.rises(g) == 0
		if even && math.Abs(y.boost[g]-x.boost[g]) < boostUnit/2 {
			continue
		}
		r := Ramp{Gear: g + 1, RPM: speeds[g], KPa: [2]float64{math.Round(y.boost[g] / 1e3), math.Round((y.boost[g] + y.rises(g)) / 1e3)}}
		if !even {
			z := y.clone()
			z.boost[g], z.rise[g] = y.lows().boost[g], 0
			flat := s.judge(ctx, z, s.draws)
			d, _ := differ(flat.traps, own.traps)
			r.Gain = round3(d)
		}
		out.Gears = append(out.Gears, r)
	}
	return out
}

// falls is by how much, Pa, boost may fall within gear g (from 0) to end, Pa gauge: no faster than a
// steady flow, and so nearly a steady power, asks for; beyond that the gear's beginning strains more
// than its end.
func (s *search) falls(g int, end float64) float64 {
	return min(fallsMost, (s.inner[g]-1)*(end+s.base.Air.Pressure))
}

// under keeps both ends of every gear's boost under what a gear may be set to: boost of a gear and its
// fall are turned together.
func (s *search) under(x *settings) {
	for g := range x.rise {
		x.boost[g] -= max(0, x.boost[g]+max(0, x.rise[g])-s.upper[g])
	}
}

// speeds are the engine speeds, rpm, between which each gear of x lasts: the mean of the members
// with the driver's means, and where boost by engine speed ends.
func (s *search) speeds(x settings) [][2]float64 {
	out, count := make([][2]float64, len(x.boost)), make([]float64, len(x.boost))
	for k := range s.m.Members {
		car, p := forecast.Usual(s.m, s.next(x), &s.m.Members[k])
		run := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
		res, err := run.Run(p)
		if err != nil {
			continue
		}
		s.count++
		for _, q := range res.Gears {
			g := q.Gear - 1
			end := car.RevLimit
			if g < len(p.ShiftSpeed) {
				end = p.ShiftSpeed[g]
			}
			count[g]++
			out[g][0] += q.Speed0 * 30 / math.Pi
			out[g][1] += end * 30 / math.Pi
		}
	}
	for g := range out {
		for i := range out[g] {
			out[g][i] = round10(out[g][i] / max(1, count[g]))
		}
	}
	return out
}

func round10(x float64) float64 { return math.Round(x/10) * 10 }
