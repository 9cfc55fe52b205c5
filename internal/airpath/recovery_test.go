package airpath

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// wantRecovery is the recovery by the project's definition from a truth file: from
// the torque's return to 95 % of the lesser of the boost before and the target, 0
// when boost never fell below that.
func wantRecovery(i int, t truthPass) (want float64, reached bool) {
	s := t.Shifts[i]
	pre, aim := s.Map-t.Env.P, s.MapTarget-t.Env.P
	if s.MapMin-t.Env.P >= recovered*math.Min(pre, aim) {
		return 0, true
	}
	back := s.ToPre
	if aim < pre {
		back = s.ToTarget
	}
	if back == nil {
		return 0, false
	}
	return math.Max(0, s.Start+*back-s.On), true
}

func without(set *dictionary.Set, q quantity.Name) {
	set.Channels = slices.DeleteFunc(set.Channels, func(c dictionary.Channel) bool { return c.Quantity == q })
}

// every keeps each n-th sample of a channel.
func every(set *dictionary.Set, q quantity.Name, n int) {
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.Quantity != q {
			continue
		}
		var x trace.Trace
		for k := 0; k < c.Trace.Len(); k += n {
			x.T = append(x.T, c.Trace.T[k])
			x.V = append(x.V, c.Trace.V[k])
		}
		c.Trace = x
		c.RateHz /= float64(n)
	}
}

// TestRecoveryOnLogs compares with the truth of the simulated logs and of what
// becomes of them with fewer channels and samples. The shift times are given, so
// that what is measured is this room's own error.
func TestRecoveryOnLogs(t *testing.T) {
	for _, c := range []struct {
		name             string
		change           func(*dictionary.Set, *car.PassNote)
		median, p90, pre float64 // s, s, Pa: bounds
	}{
		{"as it came", func(*dictionary.Set, *car.PassNote) {}, 0.003, 0.012, 800},
		{"no targets noted", func(_ *dictionary.Set, n *car.PassNote) { n.BoostTarget = nil }, 0.003, 0.012, 1500},
		{"no throttle channel", func(s *dictionary.Set, _ *car.PassNote) { without(s, quantity.Throttle) }, 0.004, 0.015, 1000},
		{"no barometer anywhere", func(s *dictionary.Set, n *car.PassNote) {
			without(s, quantity.BarometricPressure)
			n.Weather.Pressure = math.NaN()
		}, 0.005, 0.02, 2500},
		{"25 samples a second", func(s *dictionary.Set, _ *car.PassNote) { every(s, quantity.ManifoldPressure, 4) }, 0.006, 0.025, 1000},
		{"10 samples a second", func(s *dictionary.Set, _ *car.PassNote) { every(s, quantity.ManifoldPressure, 10) }, 0.012, 0.05, 1500},
	} {
		t.Run(c.name, func(t *testing.T) {
			var errs, boost []float64
			inside := 0
			for _, file := range sharedLogs(t) {
				truth, _ := readTruth(t, file)
				for _, tp := range truth.Passes {
					_, set := readTruth(t, file)
					note := noteOf(tp)
					c.change(set, note)
					p := passOf(tp, set)
					Fill(p, set, nil, note)
					for i, s := range p.Shifts {
						want, reached := wantRecovery(i, tp)
						if reached != (s.Recovery != nil) {
							t.Errorf("%s %d-%d: reached %v, want %v", filepath.Base(file), s.From, s.To, s.Recovery != nil, reached)
						}
						if !reached || s.Recovery == nil {
							continue
						}
						e := s.Recovery.Value - want
						before := *s.BoostBefore - (tp.Shifts[i].Map - tp.Env.P)
						errs = append(errs, math.Abs(e))
						boost = append(boost, math.Abs(before))
						if math.Abs(e) <= 1.645*s.Recovery.SD+1e-9 {
							inside++
						}
						if testing.Verbose() {
							t.Logf("%-22s %d-%d want %.3f got %.3f ± %.3f s, before %+.2f kPa, offset %+.2f ± %.2f kPa", filepath.Base(file), s.From, s.To, want,
								s.Recovery.Value, s.Recovery.SD, before/1e3, p.AirPath.ManifoldOffset.Value/1e3, p.AirPath.ManifoldOffset.SD/1e3)
						}
					}
				}
			}
			slices.Sort(errs)
			slices.Sort(boost)
			med, p90, pre := errs[len(errs)/2], errs[len(errs)*9/10], boost[len(boost)/2]
			t.Logf("%s: %d recoveries, error median %.4f s, 90th percentile %.4f s, worst %.4f s; boost before %.2f kPa in the median; 90 %% intervals hold %d",
				c.name, len(errs), med, p90, errs[len(errs)-1], pre/1e3, inside)
			if med > c.median || p90 > c.p90 {
				t.Errorf("recovery off by %.4f s in the median, %.4f s at the 90th percentile; bounds %.4f and %.4f s", med, p90, c.median, c.p90)
			}
			if pre > c.pre {
				t.Errorf("boost before a shift off by %.0f Pa in the median, bound %.0f Pa", pre, c.pre)
			}
			if share := float64(inside) / float64(len(errs)); share < 0.8 {
				t.Errorf("90 %% intervals hold %.0f %%", 100*share)
			}
		})
	}
}
