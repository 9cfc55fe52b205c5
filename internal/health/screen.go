package health

import (
	"math"
	"slices"
	"sort"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

// Options of a screen; the zero value is SI units.
type Options struct {
	Units quantity.World // for sentences
	Shop  *Shop          // the shop's other cars, for a car with few passes; nil none
}

// Screen judges a pass against the car's earlier passes, of which the clear ones
// serve, against the laws of physics and against the sheet's limits. history may
// be empty.
func Screen(now Record, history []Record, sheet *car.Sheet) Result {
	var past []Summary
	for _, h := range history {
		if h.Clear {
			past = append(past, Summarise(h, sheet))
		}
	}
	return ScreenAgainst(now, past, sheet, Options{Units: quantity.Metric})
}

// ScreenAgainst is Screen with the history condensed before.
func ScreenAgainst(now Record, past []Summary, sheet *car.Sheet, opts Options) Result {
	if now.Sheet != nil {
		sheet = now.Sheet
	}
	if sheet == nil {
		sheet = &car.Sheet{}
	}
	if now.Set == nil || now.Pass == nil {
		return Result{Basis: "nothing to judge by", NotJudged: []string{"no pass in the log"}, Findings: []Finding{}}
	}
	return screen(now, past, sheet, opts).result()
}

// recent is the number of passes of the history that make the baseline: the
// latest. A car is what it lately was; the older ones are for trends.
const recent = 40

// screen does the work of ScreenAgainst on a record that is whole.
func screen(now Record, past []Summary, sheet *car.Sheet, opts Options) *judge {
	if n := len(past); n > recent {
		past = past[n-recent:]
	}
	j := &judge{opts: opts, past: past}
	j.broken = j.fellSilent(now.Pass.Launch.Value, selfCheck(now.Set, now.Pass, usualNoise(past)))
	j.broken = restlessEngine(j.broken, func() *frame { return newFrame(now, sheet) })
	j.broken = append(j.broken, contradicted(now.Set, now.Pass, past)...)
	for _, b := range j.broken {
		j.hollow = j.hollow || b.mode == "denied" && b.channel.Quantity == quantity.ManifoldPressure
	}
	whole := now.Set
	now.Set = without(now.Set, j.broken)
	j.frame = newFrame(now, sheet)
	if parted := j.frame.parted(); len(parted) > 0 {
		for i := range parted { // as the whole set has it
			parted[i].channel = same(whole, parted[i].channel)
		}
		j.broken = append(j.broken, parted...)
		now.Set = without(whole, j.broken)
		j.frame = newFrame(now, sheet)
		j.frame.doubtGears()
	}
	j.frame.alone = len(past) == 0
	if w := j.frame.ratio; w != nil {
		j.doubts = append(j.doubts, w.text())
	}
	if s := j.unheldText(); s != "" {
		j.doubts = append(j.doubts, s)
	}
	if j.halting {
		j.doubts = append(j.doubts, "what warms, and most else: the throttle was hardly ever open for long, so that little of this pass is like others")
	}
	j.look()
	if e, ok := j.otherBlend(); ok {
		j.suppose(e)
	}
	j.bursts()
	j.misfires()
	j.provoked()
	j.bound()
	j.decide()
	j.sensors(whole)
	return j
}

// fewPasses is the number of own passes from which the shop's other cars have no say.
const fewPasses = 6

// judge is one screen at work.
type judge struct {
	*frame
	opts      Options
	past      []Summary
	obs       []*observation
	findings  []Finding
	broken    []broken
	limits    []breach
	fits      map[fitKey]float64
	strength  float64 // of the strongest candidate, found or not
	lost      bool    // the car's speed is doubtful
	gas       bool    // the coolant's pressure goes with the boost
	stewed    bool    // the compressor's heat stays in the charge
	hollow    bool    // the manifold's sensor reads boost where there is none
	knocks    []KnockCount
	recorders int      // watches that earlier passes read by another recorder
	unlike    []string // in what the pass is unlike all earlier ones
	doubts    []string // what could not be judged for reasons found on the way
}

// decide names causes until nothing that matters is left unexplained.
func (j *judge) decide() {
	left := j.obs
	besides(left)
	for range 5 {
		all := attribute(left, j.sensorFits, j.amounts)
		for i := range all {
			if all[i].kind != none {
				j.strength = max(j.strength, all[i].strength())
			}
		}
		cs := telling(all, j.alarm())
		if len(cs) == 0 {
			break
		}
		if cs[0].kind == none {
			for _, o := range cs[0].covered {
				o.blind = true
			}
			j.lost = true
			j.doubts = append(j.doubts, "torque and tyres: the car's speed itself is doubtful, "+j.when(cs[0].main.start))
		} else if t, ok := j.late(&cs[0]); ok && cs[0].kind != Sensor {
			j.findings = append(j.findings, j.tardyFinding(t, &cs[0]))
			cs[0].covered = append(cs[0].covered, t.clears...)
		} else {
			j.findings = append(j.findings, j.finding(cs))
		}
		var rest []*observation
		for _, o := range left {
			covered := false
			for _, x := range cs[0].covered {
				covered = covered || x == o
			}
			if !covered {
				rest = append(rest, o)
			}
		}
		left = rest
	}
}

// telling keeps the candidates with evidence enough for a finding: in all, in the
// watch that the kind must move, and once what speaks against the kind is taken
// off. What one watch shows beyond doubt is told however badly it fits.
func telling(cs []candidate, alarm float64) []candidate {
	var out []candidate
	for _, c := range cs {
		if c.strength() >= alarm {
			out = append(out, c)
		}
	}
	return out
}

// strength is the evidence by which a candidate is held against the alarm,
// natural logarithm of odds; 0 when the watch that it must move stood still.
func (c *candidate) strength() float64 {
	if c.main.evidence < 2 {
		return 0
	}
	s := c.score + 1.5
	if c.kind != Sensor && c.kind != none {
		// Amounts tell the kinds from one another, not whether anything moved.
		s = max(s, c.fit+1.5, c.main.evidence-1)
	}
	return max(0, min(c.total(), s))
}

func (j *judge) result() Result {
	r := Result{Strength: j.strength, Findings: j.findings, NotJudged: append(j.notJudged(), j.doubts...), Basis: j.basis(), Checks: handChecks, Start: j.started(), Knock: j.knocks}
	if r.Findings == nil {
		r.Findings = []Finding{}
	}
	r.Verdict = j.verdict()
	return r
}

// finding words the leading candidate.
func (j *judge) finding(cs []candidate) Finding {
	c := cs[0]
	f := Finding{Kind: c.kind, Score: c.score}
	f.Start = j.startOf(&c)
	f.Severity = severityOf(&c)
	f.Channels = c.main.channels
	if c.kind == Sensor && c.doubted != nil {
		f.Channels = names(c.doubted)
	}
	f.covers = map[string]bool{}
	for _, o := range c.covered {
		f.covers[o.id] = true
	}
	f.Chance = j.chance(&c)
	f.Evidence = j.sentence(&c, f.Start)
	f.Plots = j.plots(&c, f.Start)
	f.Others = j.notParted(cs)
	f.LookAt = c.looks(f.Others)
	moved := append([]*observation(nil), c.covered...)
	sort.SliceStable(moved, func(a, b int) bool { return moved[a].start < moved[b].start })
	for _, o := range moved {
		if o.evidence > 1 {
			m := Movement{What: o.title, Start: o.start, Size: o.came(), SD: o.hit.SD, Text: j.size(o, o.came())}
			if o.ruled {
				m.Text = o.said
			}
			f.Moved = append(f.Moved, m)
		}
	}
	return f
}

// startOf is the start of the watch with the most evidence among those that the
// kind must move; one that moved earlier with nearly as much evidence wins.
func (j *judge) startOf(c *candidate) float64 {
	start := c.main.start
	// What is off from a watch's first row on was so before it could look.
	if c.main.rows != nil && c.main.on == nil && c.main.fromFirst() {
		if t, ok := c.main.cameBefore(j.frame); ok {
			return max(t, j.launch)
		}
		return j.launch
	}
	// One watch may cross its threshold early by chance: an earlier start than the
	// main watch's counts when another watch with a say agrees within 0.3 s, and so
	// does the main watch's own against a later one when several others have a say.
	var starts []float64
	for _, o := range c.covered {
		if o.evidence > 0.6*c.main.evidence && o.evidence > 6 && o.rows != nil && !o.whole {
			starts = append(starts, o.start)
		}
	}
	slices.Sort(starts)
	for i := 0; i+1 < len(starts); i++ {
		if starts[i+1]-starts[i] < 0.3 && math.Abs(start-starts[i]) < 1 {
			start = starts[i]
			break
		}
	}
	// A pass begins at its launch; what showed before is said in the sentence.
	return max(start, j.launch)
}
