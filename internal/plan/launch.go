package plan

import (
	"context"
	"fmt"
	"math"
	"slices"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
)

// Launch is what other launch engine speeds were found to bring.
type Launch struct {
	Run    float64       `json:"run_rpm"`    // rpm, as run
	Chosen float64       `json:"chosen_rpm"` // rpm
	Tried  []LaunchTried `json:"tried"`
	// PassSD is the spread of one pass's trap speed, m/s, to hold the gains against.
	PassSD float64 `json:"pass_sd_mps"`
	Taught bool    `json:"taught"` // the record's launches differ enough to show the effect
}

// LaunchTried is one launch engine speed that was tried.
type LaunchTried struct {
	RPM    float64 `json:"rpm"`      // rpm
	Gain   float64 `json:"gain_mps"` // m/s of expected trap speed
	SD     float64 `json:"sd_mps"`   // m/s, what is not known of it
	HeldBy string  `json:"held_by"`  // the limit that forbids it; "" none
}

// How far a launch may be moved. Common practice, no source.
const (
	launchStep  = 0.10                // 1, of engine speed, in one step; bold twice that
	launchUnder = 300 * math.Pi / 30  // rad/s that a launch stays under the rev limit
	launchLeast = 1500 * math.Pi / 30 // rad/s
	launchHeat  = 1.3                 // 1, of the heat that the clutch took as run; bold 1.6
	launchWorth = 0.15                // m/s, for which a launch is changed: what its wheelspin costs when it comes is not in the mean
)

// pull tries the launch at other engine speeds, each under the same luck as the settings
// found so far. One is taken only when it brings more than launchWorth and more than is
// not known of it, within the limits.
func (s *search) pull(ctx context.Context, x settings, v, was verdict) (settings, verdict, *Launch) {
	run, _, _ := s.m.LaunchRun()
	if run <= 0 || ctx.Err() != nil {
		return x, v, nil
	}
	_, _, taught := s.m.LaunchResponse()
	l := &Launch{Run: roundRPM(run), Taught: taught}
	l.choose(x)
	best, bestV, gained := x, v, launchWorth
	for _, f := range []float64{-1, -0.5, 0.5, 1} {
		reach := launchStep
		if s.opt.Bold {
			reach *= 2
		}
		y := x.clone()
		y.launch = math.Round(run*(1+reach*f)*30/math.Pi/50) * 50 * math.Pi / 30
		w := s.judge(ctx, y, s.draws)
		if ctx.Err() != nil {
			return x, v, nil
		}
		gain, sd := differ(v.traps, w.traps)
		t := LaunchTried{RPM: roundRPM(y.launch), Gain: round3(gain), SD: round3(sd), HeldBy: s.launchHeld(y)}
		if t.HeldBy == "" {
			t.HeldBy = s.heldBy(&w, &was)
		}
		l.Tried = append(l.Tried, t)
		if t.HeldBy == "" && gain > gained && gain > sd && w.score > v.score {
			best, bestV, gained, l.Chosen = y, w, gain, t.RPM
		}
	}
	return best, bestV, l
}

// choose takes the launch of settings x for the one chosen; nothing where l is nil.
func (l *Launch) choose(x settings) {
	switch {
	case l == nil:
	case x.launch > 0:
		l.Chosen = roundRPM(x.launch)
	default:
		l.Chosen = l.Run
	}
}

// heldBy names the limit that settings pass too often, "" none.
func (s *search) heldBy(v, was *verdict) string {
	if v.hard > hardChance {
		worst := limitChance{limit: "the hard limits together"}
		for _, l := range v.worst {
			if l.chance > worst.chance && !s.excused(l) {
				worst = l
			}
		}
		return worst.limit
	}
	for g := range v.gears {
		if !s.softOK(v, was, g) {
			if v.gears[g].pull > max(s.opt.Risk, was.gears[g].pull+0.02) {
				return fmt.Sprintf("grip in gear %d", g+1)
			}
			return fmt.Sprintf("torque cut or boost target in gear %d", g+1)
		}
	}
	if !s.allOK(v, was) {
		return oneStep
	}
	return ""
}

// launchHeld names what forbids a launch: rev limit, clutch, or grip in the first gear.
func (s *search) launchHeld(x settings) string {
	if lim := s.m.Sheet.RevLimit; lim > 0 && x.launch > lim-launchUnder {
		return "rev limit"
	}
	if x.launch < launchLeast {
		return "stalling"
	}
	e, ok := s.launched(x.launch).LaunchEffect()
	heat := launchHeat
	if s.opt.Bold {
		heat += 0.3
	}
	switch {
	case !ok:
		return "" // a clutch that the model cannot close tells nothing
	case e.Heat > heat:
		return "clutch heat"
	case e.Spun > spinTime:
		return "grip in 1"
	}
	return ""
}

// launched is the base with a launch engine speed, rad/s; 0 is as it stands.
func (s *search) launched(speed float64) *forecast.Next {
	if speed <= 0 || speed == s.base.LaunchSpeed {
		return s.base
	}
	n, ok := s.launches[speed]
	if !ok {
		own := *s.base
		own.SetLaunch(s.m, speed)
		n = &own
		if s.launches == nil {
			s.launches = map[float64]*forecast.Next{}
		}
		s.launches[speed] = n
	}
	return n
}

// Moved tells whether one of those tried was taken.
func (l *Launch) Moved() bool {
	return slices.ContainsFunc(l.Tried, func(t LaunchTried) bool { return t.RPM == l.Chosen })
}

// Best is the launch tried that brings most, held or not.
func (l *Launch) Best() LaunchTried {
	return slices.MaxFunc(l.Tried, func(a, b LaunchTried) int {
		if a.Gain < b.Gain {
			return -1
		}
		return 1
	})
}

// Text is what was found, in a sentence.
func (l *Launch) Text(w quantity.World) string {
	speed := func(mean, sd float64) string {
		return w.Estimate(quantity.DimSpeed, quantity.Estimate{Value: mean, SD: sd})
	}
	if len(l.Tried) == 0 {
		return fmt.Sprintf("Launch at %.0f rpm, as run.", l.Run)
	}
	b := l.Best()
	for _, t := range l.Tried {
		if t.RPM == l.Chosen {
			return fmt.Sprintf("Launch at %.0f rpm instead of %.0f: %s expected.", l.Chosen, l.Run, speed(t.Gain, t.SD))
		}
	}
	text := fmt.Sprintf("Launch at %.0f rpm, as it stands: ", l.Chosen)
	switch {
	case math.Abs(b.Gain) < b.SD/3: // nothing to tell them apart by
		text += fmt.Sprintf("the best other that was tried, %.0f rpm, would do as well within %s at the trap.", b.RPM, w.Rounded(quantity.DimSpeed, b.SD, b.SD))
	case b.Gain <= 0:
		text += fmt.Sprintf("no other that was tried would bring more; the best of them, %.0f rpm, would cost %s at the trap.", b.RPM, speed(-b.Gain, b.SD))
	case b.HeldBy != "" && b.Gain > launchWorth:
		text += fmt.Sprintf("%.0f rpm would bring %s, but for %s.", b.RPM, speed(b.Gain, b.SD), b.HeldBy)
	case b.Gain < 0.1*l.PassSD:
		text += fmt.Sprintf("the best other, %.0f rpm, would bring %s at the trap, far below what a pass can show (± %s).", b.RPM, speed(b.Gain, b.SD), w.Rounded(quantity.DimSpeed, l.PassSD, l.PassSD))
	default:
		text += fmt.Sprintf("the best other, %.0f rpm, would bring %s at the trap, which is not sure enough.", b.RPM, speed(b.Gain, b.SD))
	}
	return text
}

func roundRPM(speed float64) float64 { return math.Round(speed*3/math.Pi) * 10 }
