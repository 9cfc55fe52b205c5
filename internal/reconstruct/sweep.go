package reconstruct

import (
	"errors"
	"math"

	"traplight/internal/dictionary"
	"traplight/internal/motion"
	"traplight/internal/num/banded"
	"traplight/internal/trace"
)

// sweep is one estimate of the movement of one stretch.
type sweep struct {
	st       stretch
	res      *motion.Result
	from, to float64 // s, run clock: estimated stretch
	restTo   float64 // s: the car stood until here
	byAccel  bool
	unseen   bool    // the log shows hardly any standing: part of the launch may lie before it
	tick     float64 // s, spacing of the readings that time the start
	byEngine bool    // speed was made from the engine
	startSD  float64 // s, then: how well the engine tells the launch
	rolling  bool    // wheels that only roll timed the start
	sparse   float64 // s, standard deviation of a start that a receiver's few readings tell; 0 where more does
	launch   float64 // s: 0.1 m/s passed for good
	x0       float64 // m: where the spline has the car at launch
	braked   float64 // s: brakes on, or to
	holes    []motion.Span
}

const brakeDecel = 4.0 // m/s²: harder than drag and an engine on the overrun at any speed here (common practice, no source)

// extent decides how far the estimate runs: past the line where the car reached
// it, else to the brakes.
func (s *signals) extent(c *coarse, st stretch, length float64) (to, braked float64) {
	braked = st.end
	for t := st.peak; t < st.end; t += c.step {
		span, most := 0.4, brakeDecel
		if len(s.undriven)+len(s.sat) == 0 {
			span, most = 2, 1.4*brakeDecel // driven wheels fall back by their slip when the throttle closes
		}
		on := (c.at(t)-c.at(t+span))/span > most
		if s.brake != nil {
			if b := sampleAt(s.brake.Trace, t, 0.5); !math.IsNaN(b) {
				on = b > 0.08
			}
		}
		if on {
			braked = t
			break
		}
	}
	end := st.end
	if braked == st.end && st.end > c.start+(float64(len(c.v))-1.5)*c.step && s.end > st.end {
		// the log ends with the car at speed: what it holds of the last hundredths may reach the line
		end = s.end
		braked = end + 0.05
	}
	margin := 1.01
	if len(s.sat) == 0 {
		margin = 1.05 // wheels alone: their scale is not known yet
	}
	x, line := 0.0, math.Inf(1)
	for t := st.move - 0.5; t < st.end; t += c.step {
		x += c.at(t) * c.step
		if x > length*margin {
			line = t
			break
		}
	}
	if math.IsInf(line, 1) && x > length/margin {
		line = end // it came to rest about the line, or the log ends there
	}
	to = math.Min(braked-0.05, st.peak+2.5)
	if !math.IsInf(line, 1) {
		to = math.Max(to, line+0.7)
	}
	return math.Min(to, end), braked
}

// sources lists what the smoother may use.
func (s *signals) sources(braked float64, known *told) []motion.Source {
	var out []motion.Source
	add := func(ch *dictionary.Channel, k motion.Kind) *motion.Source {
		out = append(out, motion.Source{Name: ch.Name, Kind: k, T: ch.Trace.T, V: ch.Trace.V, Resolution: ch.Resolution})
		return &out[len(out)-1]
	}
	for _, w := range s.undriven {
		src := add(w, motion.Undriven)
		src.Exclude = append(src.Exclude, motion.Span{From: braked - 0.05, To: math.Inf(1)})
	}
	for _, w := range s.sat {
		add(w, motion.Satellite)
	}
	if s.accel != nil {
		add(s.accel, motion.Accelerometer)
	}
	if len(s.undriven) == 0 {
		for _, w := range s.driven {
			if known != nil {
				// a driven wheel tells speed while its tyre does not spin
				src := add(w, motion.DrivenWheel)
				src.Exclude = outside(known.grip)
				known.unslip(src)
			} else if len(s.sat) == 0 {
				src := add(w, motion.DrivenWheel)
				src.Exclude = append(src.Exclude, motion.Span{From: braked - 0.05, To: math.Inf(1)})
			}
		}
	}
	if known != nil && len(known.engine.T) > 0 {
		src := motion.Source{Name: "engine in gear", Kind: motion.DrivenWheel, T: known.engine.T, V: known.engine.V}
		known.unslip(&src)
		out = append(out, src)
	}
	if known != nil && s.accel == nil && len(known.rolls.T) > 0 {
		out = append(out, motion.Source{Name: "clutch open", Kind: motion.Pull, T: known.rolls.T, V: known.rolls.V})
	}
	return out
}

// told is what the gears tell the second sweep.
type told struct {
	grip    []motion.Span // stretches in which the driven tyres do not spin
	latency float64       // s, the receiver's delay
	rolls   trace.Trace   // m/s², acceleration with the clutch open
	slip    unslipped     // empty where a receiver tells speed
	breaks  []motion.Span // where the pull stops or sets in, likewise
	engine  trace.Trace   // m/s: engine speed over ratio times radius, in gear and without spin; empty when wheels serve
}

// outside lists the gaps between spans.
func outside(in []motion.Span) []motion.Span {
	var out []motion.Span
	at := math.Inf(-1)
	for _, f := range in {
		out = append(out, motion.Span{From: at, To: f.From})
		at = f.To
	}
	return append(out, motion.Span{From: at, To: math.Inf(1)})
}

// move estimates the movement of a stretch.
func (s *signals) move(c *coarse, st stretch, length float64, pri motion.Priors, slip *motion.Slip, known *told) (*sweep, error) {
	w := &sweep{st: st}
	latency := satLatency
	if known != nil {
		latency = known.latency
	}
	if st.late {
		w.from, w.restTo = st.move, st.move-1
	} else {
		w.from, w.restTo, w.byAccel = s.standing(st, latency)
	}
	w.unseen = !st.late && st.move-s.start < leastStanding
	w.to, w.braked = s.extent(c, st, length)
	p := &motion.Problem{
		Sources: s.sources(w.braked, known),
		From:    w.from, To: w.to, RestTo: w.restTo, Moving: st.late,
		Guess:  c.at,
		Slip:   slip,
		Rough:  known == nil,
		Priors: pri,
	}
	if !s.byDriven() {
		w.holes = s.holes(w.restTo, w.to, latency)
		p.Holes = w.holes
		if known != nil && len(p.Holes) > 0 {
			p.GearsTold, p.Breaks = true, known.breaks
		}
	}
	if known != nil && len(known.slip.drag.T) > 0 {
		p.Priors.DrivenSlip = motion.Prior{Mean: known.slip.byPull, SD: 1e-3}
		p.Priors.SlipSD, p.Priors.SlipWander = known.slip.per.SD, slipLeft
		p.Breaks = known.breaks
	}
	res, err := motion.Estimate(p)
	for p.Step = 0.02; errors.Is(err, banded.ErrNotPositive) && p.Step < 0.1; p.Step *= 2 {
		// little holds the level: a coarser grid is better conditioned
		res, err = motion.Estimate(p)
	}
	if err != nil {
		return nil, err
	}
	w.res = res
	w.rolling = len(s.undriven) > 0
	w.sparse = s.sparse()
	w.byEngine, w.startSD = s.byEngine, s.startSD(st)
	w.tick = s.tick()
	w.findLaunch()
	return w, nil
}

const (
	leastStanding = 0.4 // s of standing from which a launch was seen
	// missedTime, s, and missedWay, m, are how much of a launch a log misses that begins with it: a
	// recorder that wakes with the car does so within some tenths of a second.
	missedTime, missedWay = 0.12, 1.0
)

const unseenStart = 1.5 // s, an engine revved on the line looks like a start

// startSD is how well, s, the engine alone tells the launch of a stretch.
func (s *signals) startSD(st stretch) float64 {
	sd := unseenStart
	for _, e := range s.started {
		if math.Abs(e.at-st.move) < 2 {
			sd = e.sd
		}
	}
	return sd
}

// findLaunch finds when 0.1 m/s was passed for good.
func (w *sweep) findLaunch() {
	if w.st.late {
		w.launch = w.from
		w.x0, _, _ = w.res.At(w.launch)
		return
	}
	const dt = 0.001
	sure := w.restTo
	for t := w.restTo; t < w.to; t += 0.01 {
		if _, v, _ := w.res.At(t); v > 1.5 {
			sure = t
			break
		}
	}
	w.launch = w.restTo
	for t := sure; t > w.from; t -= dt {
		if _, v, _ := w.res.At(t); v <= 0.1 {
			_, v2, _ := w.res.At(t + dt)
			w.launch = t + dt*(0.1-v)/math.Max(v2-v, 1e-9)
			break
		}
	}
	w.x0, _, _ = w.res.At(w.launch)
}

// launchSD is the standard deviation of the launch, s: that of speed over
// acceleration, there and once the pull is developed (a delay that is not known
// shifts the whole), and what the take-up leaves where nothing felt it.
func (w *sweep) launchSD() float64 {
	if w.st.late {
		return math.Inf(1)
	}
	worst := 0.0
	for _, d := range []float64{0, 0.15, 0.3} {
		t := w.launch + d
		_, sv, _ := w.res.SD(t)
		_, v1, _ := w.res.At(t - 0.01)
		_, v2, _ := w.res.At(t + 0.03)
		worst = math.Max(worst, sv/math.Max((v2-v1)/0.04, 0.5))
	}
	if w.byEngine {
		return w.startSD
	}
	clock := 0.0035 // s, a third of the usual spacing of rows: what vibration and its filter leave at a step
	if w.tick > 2.5*gridStep {
		clock = 0.2 * w.tick
	}
	if w.unseen {
		return math.Hypot(worst, missedTime)
	}
	if w.byAccel {
		return math.Hypot(worst, clock)
	}
	sd := math.Hypot(worst, takeUpSD)
	return math.Hypot(math.Hypot(sd, w.shiftSD()), w.sparse)
}

// shiftSD is how far, s, the movement as a whole may lie beside the log's clock: where a receiver
// alone tells it, by that receiver's delay, which engine and gears tell to some hundredths only.
func (w *sweep) shiftSD() float64 {
	_, sd, ok := w.res.Param("latency")
	if w.byAccel || w.rolling || w.byEngine {
		return 0
	}
	if !ok {
		sd = 0
	}
	return math.Hypot(delaySD, sd)
}

const delaySD = 0.05 // s
