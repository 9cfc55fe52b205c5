package ledger

import "math"

// structure is what the model's own structure is worth in a line beside the ensemble's
// spread, which knows only the parameters: a share of the line, and an amount.
type structure struct {
	rel float64 // 1
	abs float64 // m/s
}

// The figures are what the gains alone missed of the true counterfactuals of 39 invented
// cars (bench/forecast, seeds 1 and 7), so that 90 % intervals hold nine in ten there (grip's
// amount is what the open logs, another simulator's, missed);
// docs/ledger.md has how they did on others. Launch, power, driver and air have no truth
// to be held against: theirs is a judgement.
var (
	ofOurs = [players]structure{
		grip: {0.2, 0.15}, held: {0.15, 0.1}, shifts: {0.15, 0.15}, recovery: {0.22, 0.28},
		launch: {0.2, 0}, power: {0.3, 0}, driver: {0.2, 0},
	}
	// drag, air, wind. Of a sheet's 10 % in drag area the ensemble passes on six tenths to
	// the line of drag, for the fit makes its members alike; the truth passes on all of it
	ofGiven = [3]structure{{0.07, 0.2}, {0.1, 0.05}, {0.2, 0.1}}
	// where electronics cut on slip: what they took away is seldom in the log
	ofCut = structure{0.25, 0.12}
)

// Where the log does not tell tyre slip well, its doubt (fitcar's SlipDoubt) goes to the lines
// that rest on slip or on how torque stops and comes back: so much of the line, 1, and so many
// m/s. Nine lines of invented cars with driven wheels alone.
const doubtRel, doubtAbs = 0.8, 0.4

// amissDoubt is how doubtful a pass is whose replay has its boost off by more than a sound one's:
// so much of each of our lines, 1, and so many m/s, for each 1 of boost. By the open log with a
// boost leak.
const amissDoubt = 15.0

// liftDoubt is how doubtful it is, 1 of what lifts in wheelspin cost, what the pass would have
// been without them. Judgement.
const liftDoubt = 0.4

// slippery are the lines that rest on the log's slip.
var slippery = [players]bool{grip: true, held: true, shifts: true}

// doubted is the structure where slip is as doubtful as that, 1.
func (s structure) doubted(doubt float64) structure {
	return structure{math.Hypot(s.rel, doubtRel*doubt), math.Hypot(s.abs, doubtAbs*doubt)}
}

func (s structure) with(line, spread float64) float64 {
	return math.Hypot(math.Hypot(s.rel*line, s.abs), spread)
}

// lines puts the mean of what all members find with their spread: each explains the pass as well
// as the next, and of tyres near their peak one lets go where another holds. Slip is as doubtful as
// doubt, 1, and boost so far off, 1. The power of a pass that was ill is what it ran less than the
// car that it was not fitted to: boost that is off is no doubt of it, but its cause.
func lines(acc []*account, doubt, off float64, ill bool) []Line {
	mean := func(get func(*account) float64) float64 {
		s, n := 0.0, 0.0
		for _, a := range acc {
			if a != nil {
				s, n = s+get(a), n+1
			}
		}
		return s / n
	}
	spread := func(get func(*account) float64) float64 {
		var s, ss, n float64
		for _, a := range acc[1:] {
			if a != nil {
				x := get(a)
				s, ss, n = s+x, ss+x*x, n+1
			}
		}
		if n < 2 {
			return math.Abs(0.2 * get(acc[0]))
		}
		return math.Sqrt(math.Max(0, ss/n-s*s/(n*n)))
	}
	line := func(name, group string, own structure, share, alone func(*account) float64) Line {
		s, a := mean(share), mean(alone)
		return Line{Cause: name, Group: group, Speed: s, SD: own.with(s, spread(share)), Alone: a, AloneSD: own.with(a, spread(alone))}
	}
	var out []Line
	for i, name := range ours {
		own := ofOurs[i]
		if i == grip && acc[0].cut {
			own = ofCut
		}
		if slippery[i] {
			own = own.doubted(doubt)
		}
		if i != power || !ill {
			own.rel, own.abs = math.Hypot(own.rel, amissDoubt*off), math.Hypot(own.abs, amissDoubt*off)
		}
		if i == grip || i == held || i == driver {
			own.abs = math.Hypot(own.abs, liftDoubt*acc[0].spun)
		}
		out = append(out, line(name, "ours", own, func(a *account) float64 { return a.share[i] }, func(a *account) float64 { return a.alone[i] }))
	}
	for i, name := range given {
		f := func(a *account) float64 { return a.given[i] }
		out = append(out, line(name, "given", ofGiven[i], f, f))
	}
	return out
}
