package health

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

// cell is the width of the frame's grid, s.
const cell = 0.02

// block is the number of cells that make one row of a watch: 0.2 s.
const block = 10

// Record is a pass with the log it lies in.
type Record struct {
	Name string // for sentences: file and number of the pass
	Set  *dictionary.Set
	Pass *pass.Pass
	Note *car.PassNote // nil when the crew wrote nothing
	// Sheet is the car as it stood for this pass; nil as for the pass that is judged.
	Sheet *car.Sheet
	// Clear says that this pass was found fit, by this screen or by those who
	// looked at the car; only clear passes serve as a baseline.
	Clear bool
}

// frame is one pass on a uniform grid, with what the watches need worked out
// once. Columns hold NaN where there is no sample.
type frame struct {
	sheet  *car.Sheet
	note   *car.PassNote
	set    *source
	pass   *pass.Pass
	t      []float64 // s, run clock
	n      int
	launch float64         // s
	end    float64         // s, the lift, or the finish, or the last sample
	span   dictionary.Span // of the log's samples
	cols   map[*dictionary.Channel][]float64
	read   map[quantity.Name]bool // what the frame itself was made of
	groups []group                // the watches, once they have looked

	baro, ambient float64 // Pa, K
	baroKnown     bool    // measured, not assumed
	ambientKnown  bool
	nref          float64 // rad/s, rev limit or the highest speed seen

	speed     []float64 // rad/s, engine
	throttle  []float64 // 0–1
	boost     []float64 // Pa gauge
	boostRate []float64 // Pa/s
	charge    []float64 // K, air in the manifold
	v, a      []float64 // m/s, m/s²
	gear      []int
	noGears   bool      // they are not known: gear numbers stretches of open throttle
	since     []float64 // s since the present gear was engaged
	full      []bool    // full throttle in gear, outside shifts and their first 0.25 s
	cut       []bool    // on the rev limiter, which cuts fuel or fire
	raced     []bool    // driven wheels broke loose just before; nil for an engine at rest
	again     []bool    // behind a foot that came off within the gear
	halting   bool      // hardly ever at full throttle for long, see halts
	power     []bool    // throttle open, engine driving
	idle      []bool    // standing before the launch, throttle shut
	running   []bool    // engine turns by itself
	target    []float64 // Pa gauge, boost target by gear or channel
	air       []float64 // 1, air mass through the engine, about 1 at full load
	slip      []float64 // 1
	crank     []float64 // N·m
	nitrous   []float64 // 0–1
	switching []bool    // within 0.4 s after a change of nitrous; nil when there is none
	tyreForce []float64 // N
	usedGrip  []float64 // 1
	idleSpeed float64   // rad/s
	fuelIs    fuel.Properties
	ethanol   float64 // 0–1 by volume, measured, noted or the sheet's; NaN unknown
	loosely   bool    // no cell belongs to the launch: an engine at rest
	ratio     *wrongRatio
	alone     bool // there is no earlier pass to compare it with
	doubted   bool // gears that the wheels give the lie were taken out

	chargeSupposed bool // no channel tells the charge's temperature, and one was taken
}

// newFrame lays a pass on the grid: from 12 s before the launch to 8 s after the
// lift, as far as the log goes.
func newFrame(r Record, sheet *car.Sheet) *frame {
	return newFrameWith(r, sheet, map[*dictionary.Channel][]float64{})
}

// newFrameWith is newFrame where some channels lie on the grid already.
func newFrameWith(r Record, sheet *car.Sheet, cols map[*dictionary.Channel][]float64) *frame {
	if sheet == nil {
		sheet = &car.Sheet{}
	}
	f := &frame{sheet: sheet, note: r.Note, set: &source{Set: r.Set}, pass: r.Pass, cols: cols, span: spanOf(r.Set)}
	f.read = f.set.reading(f.lay)
	return f
}

// spanOf is the time from the first sample of a log to its last.
func spanOf(set *dictionary.Set) dictionary.Span {
	s := dictionary.Span{From: math.Inf(1), To: math.Inf(-1)}
	for i := range set.Channels {
		if x := set.Channels[i].Trace; x.Len() > 1 {
			s.From, s.To = min(s.From, x.T[0]), max(s.To, x.T[x.Len()-1])
		}
	}
	return s
}

func (f *frame) lay() {
	f.fuelIs, f.ethanol, _ = f.blendOf()
	p := f.pass
	f.launch = p.Launch.Value
	first, last := f.span.From, f.span.To
	f.end = last
	if p.Finish != nil {
		f.end = p.Finish.Value
	}
	if p.Lift != nil {
		f.end = *p.Lift
	}
	if n := len(p.Motion.V); n > 0 && p.Finish == nil && p.Lift == nil {
		f.end = p.Motion.Start + float64(n-1)*p.Motion.Step
	}
	f.end = min(f.end, last)
	from, to := max(first, f.launch-12), min(last, f.end+8)
	if !(to > from) {
		return
	}
	f.n = int((to-from)/cell) + 1
	f.t = make([]float64, f.n)
	for i := range f.t {
		f.t[i] = from + float64(i)*cell
	}
	f.fromMotion()
	f.fromEngine()
	f.states()
	f.ownRatio()
	f.derived()
}

// column gives a channel on the grid.
func (f *frame) column(c *dictionary.Channel) []float64 {
	if c == nil {
		return nil
	}
	if x, ok := f.cols[c]; ok {
		return x
	}
	x := resample(c.Trace, f.t, c.RateHz, stepLike(c.Quantity))
	f.cols[c] = x
	return x
}

func (f *frame) first(q quantity.Name) []float64 { return f.column(f.set.First(q)) }

func stepLike(q quantity.Name) bool {
	switch q {
	case quantity.Gear, quantity.Nitrous, quantity.LaunchControl, quantity.Brake:
		return true
	}
	return false
}

// onMotion interpolates a series of the pass's own grid.
func (f *frame) onMotion(x []float64) []float64 {
	out := filled(f.n, nan())
	m := f.pass.Motion
	if len(x) == 0 || m.Step <= 0 {
		return out
	}
	for i, t := range f.t {
		u := (t - m.Start) / m.Step
		k := int(math.Floor(u))
		if k < 0 || k+1 >= len(x) {
			continue
		}
		w := u - float64(k)
		out[i] = x[k] + w*(x[k+1]-x[k])
	}
	return out
}
