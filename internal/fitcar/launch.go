package fitcar

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// What a launch at another engine speed is worked out with. Common practice, no source.
const (
	lineBefore   = 0.6  // s before the launch over which engine speed and boost at the line are taken
	launchDoubt  = 0.6  // 1, spread of the true effect over the model's, before the record has any
	launchScat   = 0.05 // 1, scatter of speeds after launches that are alike: foot and grip
	launchVaried = 0.03 // 1, by which launches must differ to teach the effect
	launchesSeen = 10   // of the last passes are asked what the effect is
	judgedAt     = 20.0 // m, where launches of the record are compared
)

// atLine reads what the log shows in the last moment at the line.
func (o *Observation) atLine(p *pass.Pass, set *dictionary.Set) {
	if set == nil {
		return
	}
	mid := func(q quantity.Name) float64 {
		c := set.First(q)
		if c == nil {
			return 0
		}
		v := slices.DeleteFunc(slices.Clone(c.Trace.Slice(p.Launch.Value-lineBefore, p.Launch.Value).V), math.IsNaN)
		if len(v) == 0 {
			return 0
		}
		return median(v)
	}
	o.LaunchSeen, o.LineBoost = mid(quantity.EngineSpeed), mid(quantity.ManifoldPressure)
}

// LaunchSpeed is the engine speed held at the line, rad/s, as noted, else as the log
// shows it; 0 unknown.
func (o *Observation) LaunchSpeed() float64 {
	if o.LaunchAim > 0 {
		return o.LaunchAim
	}
	return o.LaunchSeen
}

// LaunchRun is the engine speed of the last launch, rad/s, and the lowest and highest of
// the clear passes; 0 unknown.
func (m *Model) LaunchRun() (last, low, high float64) {
	low = math.Inf(1)
	for _, p := range m.Passes {
		w := p.Obs.LaunchSpeed()
		if w <= 0 {
			continue
		}
		last = w
		if p.Weight >= 0.5 {
			low, high = min(low, w), max(high, w)
		}
	}
	return last, min(low, max(last, high)), max(high, 0)
}

// LaunchResponse is how much of the model's effect of launch engine speed the car shows,
// 1 and its spread; taught says whether launches of the record differed enough to tell
// anything. Without that it is 1 with a wide spread. Speeds at the same place after
// launches at different engine speeds are held against the model's, as a regression
// through their means with a normal prior.
func (m *Model) LaunchResponse() (mean, sd float64, taught bool) {
	last, low, high := m.LaunchRun()
	mean, sd = 1, launchDoubt
	if last <= 0 || high < low*(1+launchVaried) {
		return mean, sd, false
	}
	var x, y []float64
	for k := max(0, len(m.Passes)-launchesSeen); k < len(m.Passes); k++ {
		p := m.Passes[k]
		o := p.Obs
		v := o.speedAt(judgedAt)
		if o.LaunchSpeed() <= 0 || p.Weight < 0.5 || v <= 0 {
			continue
		}
		c, q := m.Replay(&m.Mean, k)
		l, ok := m.Launcher(c, q)
		if !ok {
			continue
		}
		l.place = judgedAt
		s, ok := l.To(o.LaunchSpeed())
		if !ok {
			continue
		}
		x, y = append(x, s.Mix(0.5).Speed), append(y, math.Log(v))
	}
	if len(x) < 2 {
		return mean, sd, false
	}
	var mx, my, sxx, sxy float64
	for i := range x {
		mx, my = mx+x[i]/float64(len(x)), my+y[i]/float64(len(x))
	}
	for i := range x {
		sxx, sxy = sxx+(x[i]-mx)*(x[i]-mx), sxy+(x[i]-mx)*(y[i]-my)
	}
	// the passes' grip and foot differ too: a slope of one would have to stand out of that
	prior, data := 1/(launchDoubt*launchDoubt), 1/(launchScat*launchScat)
	w := prior + data*sxx
	return (prior + data*sxy) / w, 1 / math.Sqrt(w), true
}

// speedAt is the speed, m/s, at a distance, m; 0 when it was not reached.
func (o *Observation) speedAt(x float64) float64 {
	for i := 1; i < len(o.X); i++ {
		if o.X[i] >= x && o.X[i] > o.X[i-1] {
			u := (x - o.X[i-1]) / (o.X[i] - o.X[i-1])
			return o.V[i-1] + u*(o.V[i]-o.V[i-1])
		}
	}
	return 0
}
