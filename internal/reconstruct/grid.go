package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/localfit"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

const gridStep = 0.01 // s, of everything that is kept by sample

// grid is the pass by sample: what was measured and what follows from it.
// Slices have n entries; NaN means not known.
type grid struct {
	start    float64 // s, run clock
	n        int
	x, v, a  []float64 // m from the staged position, m/s, m/s²
	engine   []float64 // rad/s
	dEngine  []float64 // rad/s²
	wheel    []float64 // rad/s, driven wheels by their own sensor, on the nominal circumference
	dWheel   []float64 // rad/s²
	throttle []float64 // 0–1
	manifold []float64 // Pa, as logged; read only where no throttle tells
	tick     float64   // s, spacing of the readings that time torque
	// delay of the driven wheels' sensors: a time, s, and a way, m
	wheelLag, wheelTravel float64
	logged                []float64 // gear by the log
	open                  []float64 // 1 full throttle, 0 not, where the channel tells no more; else nil
	clutch                []float64 // 0 closed – 1 open; nil without the channel
	notes                 []string  // what was found wrong with the readings
}

func (g *grid) at(i int) float64 { return g.start + float64(i)*gridStep }
func (g *grid) index(t float64) int {
	i := int(math.Round((t - g.start) / gridStep))
	return max(0, min(g.n-1, i))
}

// Lags of channels about which a log says nothing (common practice, no source):
// an engine computer measures speed and throttle within a firing interval or two.
const (
	engineLag   = 0.005 // s
	throttleLag = 0.005 // s
	gearLag     = 0.04  // s
)

// tabulate samples the sweep and the channels on the grid.
func (s *signals) tabulate(w *sweep, sheet *car.Sheet) *grid {
	g := &grid{start: w.from, n: int((w.to-w.from)/gridStep) + 1}
	g.x, g.v, g.a = make([]float64, g.n), make([]float64, g.n), make([]float64, g.n)
	for i := range g.x {
		x, v, a := w.res.At(g.at(i))
		g.x[i], g.v[i], g.a[i] = x-w.x0, math.Max(v, 0), a
	}
	g.engine, g.dEngine = nans(g.n), nans(g.n)
	if s.engine != nil {
		s.smooth(g, s.engine.Trace, s.engine.RateHz, engineLag, 1, g.engine, g.dEngine)
	}
	g.wheelLag, g.wheelTravel = 0.012, 0
	if lag, _, ok := w.res.Param("wheel lag"); ok && len(s.undriven) > 0 {
		g.wheelLag = lag // rings and electronics are alike on all four
		g.wheelTravel, _, _ = w.res.Param("wheel travel")
	}
	s.drivenWheels(g, sheet)
	g.throttle = nans(g.n)
	if th := s.throttle; th != nil {
		for i := range g.throttle {
			g.throttle[i] = sampleAt(th.Trace, g.at(i)+throttleLag, 0.3)
		}
	} else if pd := s.pedal; pd != nil {
		for i := range g.throttle {
			g.throttle[i] = sampleAt(pd.Trace, g.at(i)+throttleLag, 0.3)
		}
	}
	if s.onOff != nil {
		g.open = nans(g.n)
		for i := range g.open {
			g.open[i] = holdAt(s.onOff.Trace, g.at(i)+throttleLag, 0.5)
		}
	}
	if m := s.set.First(quantity.ManifoldPressure); m != nil && s.throttle == nil && s.pedal == nil {
		g.manifold = nans(g.n)
		for i := range g.manifold {
			g.manifold[i] = sampleAt(m.Trace, g.at(i)+throttleLag, 0.3)
		}
	}
	g.tick = s.tick()
	g.logged = nans(g.n)
	if s.gear != nil {
		for i := range g.logged {
			g.logged[i] = holdAt(s.gear.Trace, g.at(i)+gearLag, 0.5)
		}
	} else if len(s.counted.T) > 0 {
		for i := range g.logged {
			g.logged[i] = holdAt(s.counted, g.at(i)+engineLag, 0.5)
		}
	}
	if c := s.set.First(quantity.Clutch); c != nil {
		g.clutch = clutchOpen(g, c.Trace)
	}
	return g
}

// drivenWheels samples the driven wheels on the grid, their delay taken out.
func (s *signals) drivenWheels(g *grid, sheet *car.Sheet) {
	g.wheel, g.dWheel = nans(g.n), nans(g.n)
	if len(s.driven) == 0 {
		return
	}
	c := sheet.LoggerCircum
	if c <= 0 {
		c = 2 * math.Pi * sheet.TyreRadius.Value
	}
	sum, dsum, cnt := make([]float64, g.n), make([]float64, g.n), make([]float64, g.n)
	var vs, ds [][]float64
	for _, ch := range s.driven {
		v, d := nans(g.n), nans(g.n)
		x := ch.Trace
		if g.wheelTravel > 0 {
			x.T = append([]float64(nil), x.T...)
			for i := range x.T {
				x.T[i] -= g.wheelTravel / math.Max(x.V[i], 1)
				if i > 0 { // time runs on, whatever the wheel does
					x.T[i] = math.Max(x.T[i], x.T[i-1]+1e-6)
				}
			}
		}
		s.smooth(g, x, ch.RateHz, g.wheelLag, 2*math.Pi/c, v, d)
		for i := range v { // the value itself stays sharp: spin lasts a few samples
			if !math.IsNaN(v[i]) {
				v[i] = sampleAt(x, g.at(i)+g.wheelLag, 1) * 2 * math.Pi / c
			}
		}
		vs, ds = append(vs, v), append(ds, d)
	}
	s.onlyGood(g, overall(sheet), c, vs, ds)
	for k, v := range vs {
		d := ds[k]
		for i := range v {
			if v[i] > 0.3/sheet.TyreRadius.Value { // a blind sensor reads nothing
				sum[i] += v[i]
				dsum[i] += d[i]
				cnt[i]++
			}
		}
	}
	for i := range sum {
		if cnt[i] == float64(len(s.driven)) || cnt[i] >= 2 {
			g.wheel[i], g.dWheel[i] = sum[i]/cnt[i], dsum[i]/cnt[i]
		}
	}
}

// clutchOpen samples a clutch channel as 0 closed – 1 open: which end is closed is
// told by where it stands for most of the time at speed. nil when it never moves.
func clutchOpen(g *grid, x trace.Trace) []float64 {
	out := nans(g.n)
	var at []float64
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range out {
		out[i] = sampleAt(x, g.at(i), 0.3)
		if math.IsNaN(out[i]) {
			continue
		}
		lo, hi = math.Min(lo, out[i]), math.Max(hi, out[i])
		if g.v[i] > 10 {
			at = append(at, out[i])
		}
	}
	if hi-lo < 0.3 || len(at) == 0 {
		return nil
	}
	closed := stats.Median(at)
	for i := range out {
		out[i] = math.Min(1, math.Abs(out[i]-closed)/(hi-lo))
	}
	return out
}

// smooth fits value and slope of a trace on the grid, its lag taken out.
func (s *signals) smooth(g *grid, x trace.Trace, rate, lag, factor float64, v, d []float64) {
	half := 0.026
	if rate > 0 {
		half = math.Max(half, 2.6/rate)
	}
	gap := 0.12
	if rate > 0 {
		gap = math.Max(gap, 3/rate)
	}
	for i := range v {
		t := g.at(i) + lag
		if math.IsNaN(sampleAt(x, t, gap)) {
			continue
		}
		if val, sl, ok := localfit.Quadratic(x.T, x.V, t, half); ok {
			v[i], d[i] = val*factor, sl*factor
		}
	}
}

// holdAt is the last sample at or before t, not older than gap; NaN else.
func holdAt(x trace.Trace, t, gap float64) float64 {
	lo, hi := 0, len(x.T)
	for lo < hi {
		m := (lo + hi) / 2
		if x.T[m] <= t {
			lo = m + 1
		} else {
			hi = m
		}
	}
	if lo == 0 || t-x.T[lo-1] > gap {
		return math.NaN()
	}
	return x.V[lo-1]
}

func nans(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.NaN()
	}
	return x
}

// tick is the spacing, s, of the fastest channel that times torque: an accelerometer,
// wheels, a receiver or the engine; 0.01 at least, the grid's own.
func (s *signals) tick() float64 {
	best := math.Inf(1)
	for _, list := range [][]*dictionary.Channel{{s.accel}, s.undriven, s.driven, s.sat, {s.engine}} {
		for _, c := range list {
			if c != nil && c.RateHz > 0 {
				best = math.Min(best, 1/c.RateHz)
			}
		}
		if !math.IsInf(best, 1) {
			break
		}
	}
	if math.IsInf(best, 1) {
		return gridStep
	}
	return math.Max(best, gridStep)
}
