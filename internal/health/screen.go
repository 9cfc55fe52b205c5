package health

import (
	"fmt"
	"math"
	"sort"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Summary is what a clear pass leaves for later screens: plain data, a few
// kilobytes.
type Summary struct {
	Name    string             `json:"name"`
	Digests map[string]*digest `json:"digests"`
	// Noise is the usual scatter of each channel, by its name in the log, in the
	// channel's SI unit.
	Noise map[string]float64 `json:"noise"`
	// Knock is the background of each knock sensor, by its name in the log.
	Knock map[string]*knockDigest `json:"knock,omitempty"`
	// Extremes are the most extreme held values for protection, SI unit of each guard.
	Extremes map[string]float64 `json:"extremes,omitempty"`
}

// Options of a screen; the zero value is SI units.
type Options struct {
	Units quantity.World // for sentences
}

// Summarise condenses a pass.
func Summarise(r Record, sheet *car.Sheet) Summary {
	s := Summary{Name: r.Name, Digests: map[string]*digest{}, Noise: map[string]float64{}}
	if r.Set == nil || r.Pass == nil {
		return s
	}
	for i := range r.Set.Channels {
		c := &r.Set.Channels[i]
		if restless[c.Quantity] && c.Trace.Len() >= 40 {
			if v := usualRoughness(c, r.Pass); v > 0 {
				s.Noise[c.Name] = v
			}
		}
	}
	f := newFrame(r, sheet)
	for _, l := range f.watches() {
		if d := l.digestRows(l.rows); d != nil {
			s.Digests[l.id] = d
		}
	}
	for _, c := range f.lone(quantity.Knock) {
		if d := f.digestKnock(c); d != nil {
			if s.Knock == nil {
				s.Knock = map[string]*knockDigest{}
			}
			s.Knock[c.Name] = d
		}
	}
	s.Extremes = f.extremes()
	return s
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
	j.broken = selfCheck(now.Set, now.Pass, usualNoise(past))
	whole := now.Set
	now.Set = without(now.Set, j.broken)
	j.frame = newFrame(now, sheet)
	j.look()
	j.bursts()
	j.bound()
	j.decide()
	j.sensors(whole)
	return j
}

// usualNoise is the median scatter of each channel over the history.
func usualNoise(past []Summary) map[string]float64 {
	all := map[string][]float64{}
	for _, s := range past {
		for k, v := range s.Noise {
			all[k] = append(all[k], v)
		}
	}
	out := map[string]float64{}
	for k, v := range all {
		out[k] = stats.Median(v)
	}
	return out
}

// judge is one screen at work.
type judge struct {
	*frame
	opts     Options
	past     []Summary
	obs      []*observation
	findings []Finding
	broken   []broken
	limits   []breach
	fits     map[fitKey]float64
	lost     bool     // the car's speed is doubtful
	doubts   []string // what could not be judged for reasons found on the way
}

func (j *judge) look() {
	for _, l := range j.frame.watches() {
		var ds []*digest
		for _, s := range j.past {
			if d := s.Digests[l.id]; d != nil {
				ds = append(ds, d)
			}
		}
		var own *digest
		if len(ds) == 0 {
			own = l.digestRows(l.rows)
		}
		m := l.learn(ds, own)
		if own != nil {
			m.alone(own, &l.spec)
		}
		o := observe(l, m)
		if o.evidence > 0 {
			o.start = o.onset(j.frame)
		}
		j.obs = append(j.obs, o)
	}
}

// bound lets the limits speak through the watches they belong to, so that their
// cause is sought with all else that moved.
func (j *judge) bound() {
	j.limits = j.breaches()
	for _, b := range j.limits {
		id, sign := breachWatch(b.kind)
		if id == "" || b.byMotion {
			continue
		}
		var o *observation
		for _, x := range j.obs {
			if x.id == id {
				o = x
			}
		}
		if o == nil {
			o = &observation{look: &look{spec: spec{id: id, title: b.text, channels: b.channels, small: 1}}, said: b.text}
			j.obs = append(j.obs, o)
		}
		if o.evidence < b.score || o.sign() != sign {
			o.evidence, o.start, o.said = b.score, b.from, b.text
			if o.rows == nil || o.sign() != sign {
				o.hit.Size = 3 * sign * o.small
			}
		} else if o.said == "" {
			o.said = b.text
		}
		if b.severity == Gross {
			o.grave = true
		}
	}
}

// breachWatch is the watch that a kind of limit belongs to, and its direction.
func breachWatch(k Kind) (id string, sign float64) {
	switch k {
	case MixtureLean:
		return "lambda", 1
	case FuelSupply:
		return "fuel over manifold", -1
	case OilSupply:
		return "oil pressure", -1
	case CoolantPressure:
		return "coolant pressure", 1
	case CrankcasePressure:
		return "crankcase pressure", 1
	case Electrical:
		return "voltage", -1
	case Underboost:
		return "boost short of target", -1
	case Overboost:
		return "boost over target", 1
	case Throttle:
		return "throttle", -1
	}
	return "", 0
}

// sensors adds the channels whose own readings condemn them, and the limits that
// no finding covers yet.
func (j *judge) sensors(set *dictionary.Set) {
	for _, b := range j.broken {
		f := Finding{Kind: Sensor, Severity: Moderate, Start: b.from, Channels: []string{b.channel.Name}, LookAt: lookAt[Sensor],
			Chance: min(1, float64(len(set.Channels))*math.Exp(-b.score)), Score: b.score,
			Evidence: fmt.Sprintf("%s: %s, from %s; it was left out of everything else from then on.", b.channel.Name, b.text, j.when(b.from))}
		j.findings = append(j.findings, f)
	}
	for _, b := range j.limits {
		if j.lost && b.byMotion {
			continue
		}
		known := false
		id, _ := breachWatch(b.kind)
		for _, f := range j.findings {
			known = known || f.Kind == b.kind || id != "" && f.covers[id]
		}
		if !known {
			j.findings = append(j.findings, Finding{Kind: b.kind, Severity: b.severity, Start: b.from, Channels: b.channels, LookAt: lookAt[b.kind],
				Chance: 1e-4, Score: b.score, Evidence: fmt.Sprintf("%s, from %s.", upper(b.text), j.when(b.from))})
		}
	}
	sort.SliceStable(j.findings, func(a, b int) bool { return j.findings[a].Score > j.findings[b].Score })
}

// alone fits the spreads of a first pass to itself. Curves that only this pass has
// bent are wrong by slowly varying amounts; so the pass's own residuals give noise
// and correlation, and only what comes about faster than those stands out.
func (m *model) alone(d *digest, s *spec) {
	rho := max(math.Exp(-block*cell/m.corr), min(0.97, d.Corr))
	m.noise = max(d.Scale, s.noise/2)
	m.corr = -block * cell / math.Log(rho)
	m.df = 12
	m.excess = 1.3
	if s.rough > 0 {
		m.excess = s.rough
	}
}

// decide names causes until nothing that matters is left unexplained.
func (j *judge) decide() {
	left := j.obs
	besides(left)
	for range 5 {
		cs := attribute(left, j.sensorFits, j.amounts)
		if len(cs) == 0 || cs[0].total() < alarm || cs[0].score < alarm-1.5 || cs[0].main.evidence < 2 {
			break
		}
		if cs[0].kind == none {
			for _, o := range cs[0].covered {
				o.blind = true
			}
			j.lost = true
			j.doubts = append(j.doubts, "torque and tyres: the car's speed itself is doubtful, "+j.when(cs[0].main.start))
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

func (j *judge) result() Result {
	r := Result{Findings: j.findings, NotJudged: append(j.notJudged(), j.doubts...), Basis: j.basis(), Checks: handChecks}
	if r.Findings == nil {
		r.Findings = []Finding{}
	}
	r.Verdict = j.verdict()
	return r
}

func (j *judge) basis() string {
	n := 0
	for _, s := range j.past {
		if len(s.Digests) > 0 {
			n++
		}
	}
	switch n {
	case 0:
		return "physical rules and the pass's own course; no earlier clear pass of this car"
	case 1:
		return "own history of 1 pass"
	}
	return fmt.Sprintf("own history of %d passes", n)
}

// finding words the leading candidate.
func (j *judge) finding(cs []candidate) Finding {
	c := cs[0]
	f := Finding{Kind: c.kind, Score: c.score, LookAt: lookAt[c.kind]}
	f.Start = j.startOf(&c)
	f.Severity = severityOf(&c)
	f.Channels = c.main.channels
	f.covers = map[string]bool{}
	for _, o := range c.covered {
		f.covers[o.id] = true
	}
	f.Chance = j.chance(&c)
	f.Evidence = j.sentence(&c, f.Start)
	f.Plots = j.plots(&c, f.Start)
	seen := map[Kind]bool{c.kind: true}
	for _, o := range cs[1:] {
		if !seen[o.kind] && o.score > c.score-4 && len(f.Others) < 3 {
			f.Others = append(f.Others, o.kind)
			seen[o.kind] = true
		}
	}
	moved := append([]*observation(nil), c.covered...)
	sort.SliceStable(moved, func(a, b int) bool { return moved[a].start < moved[b].start })
	for _, o := range moved {
		if o.evidence > 1 {
			f.Moved = append(f.Moved, Movement{What: o.title, Start: o.start, Size: o.hit.Size, SD: o.hit.SD, Text: j.size(o, o.hit.Size)})
		}
	}
	return f
}

// startOf is the start of the watch with the most evidence among those that the
// kind must move; one that moved earlier with nearly as much evidence wins.
func (j *judge) startOf(c *candidate) float64 {
	start := c.main.start
	for _, o := range c.covered {
		if o.evidence > 0.7*c.main.evidence && o.evidence > 6 && o.start < start && start-o.start < 1 {
			start = o.start
		}
	}
	// A pass begins at its launch; what showed before is said in the sentence.
	return max(start, j.launch)
}

// severityOf grades by the size of the main departure over what matters at all.
func severityOf(c *candidate) Severity {
	r := 0.0
	grave := false
	for _, o := range c.covered {
		if o.evidence > 4 {
			r = max(r, math.Abs(o.hit.Size)/o.small)
		}
		grave = grave || o.grave
	}
	switch {
	case r > 5 || grave:
		return Gross
	case r > 2.5:
		return Moderate
	}
	return Subtle
}

// chance is how often so much evidence comes up on a healthy car in one pass.
func (j *judge) chance(c *candidate) float64 {
	e := c.total()
	return min(1, float64(len(j.obs))*math.Exp(-e)*1.5)
}
