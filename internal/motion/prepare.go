package motion

import "math"

// Sensors at large. Each is a property of vehicles and recorders, not of a file.
const (
	satWalkTau    = 1.5  // s, correlation time of a receiver's wandering speed error
	satWalkSD     = 0.06 // m/s, its standard deviation before the log tells better
	wheelWalkTau  = 1.5  // s, correlation time of a rolling wheel's wandering error (surface, slight steering, camber)
	wheelWalkSD   = 1e-3 // 1, its standard deviation relative to speed before the log tells better
	drivenWalkTau = 1.0  // s, correlation time of a driven wheel's slip beyond what goes with acceleration
	pullSD        = 0.5  // m/s², how well a car rolling with the clutch open is known to slow
	fewSamples    = 3    // below which a source is not used
)

// shared are the constants, by param index, and walks that sources have in common; −1 none yet.
type shared struct {
	pri                    Priors
	felt                   bool    // an accelerometer tells when acceleration changed
	wheelLagSD             float64 // s
	lag, common, growth    int     // of all wheels
	travel, load, rollWalk int     // of wheels that only roll
	drivenSlip, drivenWalk int
	latency                int
}

// prepare turns sources into channels and registers their constants.
func (r *Result) prepare(p *Problem) {
	r.par.known = p.Priors.Known
	sh := &shared{pri: r.priors(p), felt: p.has(Accelerometer), wheelLagSD: wheelLagSD(p), lag: -1, common: -1, growth: -1,
		travel: -1, load: -1, rollWalk: -1, drivenSlip: -1, drivenWalk: -1, latency: -1}
	r.rollout = -1
	if p.Slip != nil {
		q := p.Slip.Rollout
		if q.SD == 0 {
			q = Prior{0.265, 0.04}
		}
		r.rollout = r.par.add("start beam", q)
	}
	for i := range p.Sources {
		s := &p.Sources[i]
		ch := channel{src: s, colour: 1, lag: -1, travel: -1, scale: -1, common: -1, growth: -1, load: -1, bias: -1, lean: -1, walk: -1}
		ch.floor = s.Resolution / math.Sqrt(12)
		ch.idx = p.usable(s)
		if len(ch.idx) < fewSamples {
			continue
		}
		n := len(ch.idx)
		ch.wt, ch.at, ch.left = make([]float64, n), make([]spot, n), make([]float64, n)
		for j := range ch.wt {
			ch.wt[j] = 1
		}
		switch s.Kind {
		case Undriven, DrivenWheel:
			r.addWheel(&ch, sh)
		case Satellite:
			if sh.latency < 0 {
				sh.latency = r.par.add("latency", sh.pri.Latency)
			}
			ch.lag = sh.latency
			ch.sigma = 0.06
			ch.tau, ch.walkSD = satWalkTau, satWalkSD
			r.newWalk(&ch)
		case Accelerometer:
			ch.lag = r.par.add("accelerometer lag", Prior{0.008, 0.0015})
			ch.bias = r.par.add("accelerometer bias", Prior{0, 1.5})
			ch.lean = r.par.add("lean", sh.pri.Lean)
			ch.sigma = 0.3
			ch.leanA = make([]float64, n)
		case Pull:
			ch.sigma = pullSD
		case Position:
			continue
		}
		r.chans = append(r.chans, ch)
	}
}

// newWalk registers a wandering error, which the channel leads.
func (r *Result) newWalk(ch *channel) {
	ch.walk, ch.leads = r.walks, true
	r.walks++
}

// addWheel registers the constants of a wheel.
func (r *Result) addWheel(ch *channel, sh *shared) {
	rolls := ch.src.Kind == Undriven
	if sh.lag < 0 {
		sh.lag = r.par.add("wheel lag", Prior{0.012, sh.wheelLagSD})
		sh.common = r.par.add("wheel scale", sh.pri.WheelScale)
		sh.growth = r.par.add("growth", sh.pri.Growth)
	}
	if sh.travel < 0 && rolls {
		sh.travel = r.par.add("wheel travel", Prior{0.03, 0.02})
	}
	ch.lag, ch.common, ch.travel, ch.growth = sh.lag, sh.common, sh.travel, sh.growth
	ch.scale = r.par.add("scale "+ch.src.Name, Prior{0, sh.pri.WheelSpread})
	if rolls {
		if sh.load < 0 {
			sh.load = r.par.add("load", Prior{0, 2e-4}) // 1 per m/s²: deflection under load transfer
		}
		ch.load = sh.load
		ch.sigma, ch.rel = 0.03, 1.5e-3
		if sh.rollWalk < 0 {
			r.newWalk(ch)
			sh.rollWalk = ch.walk
		}
		ch.walk, ch.tau, ch.walkSD = sh.rollWalk, wheelWalkTau, wheelWalkSD
		return
	}
	if sh.drivenSlip < 0 {
		sh.drivenSlip = r.par.add("driven slip", sh.pri.DrivenSlip)
	}
	ch.load = sh.drivenSlip
	ch.sigma, ch.rel = 0.03, 4e-3
	if sh.drivenWalk < 0 {
		r.newWalk(ch)
		sh.drivenWalk = ch.walk
	}
	ch.walk, ch.tau, ch.walkSD = sh.drivenWalk, drivenWalkTau, sh.pri.SlipWander
	if sh.felt {
		ch.relax = relaxation
	}
}

// usable lists the samples of a source that tell of the car's movement.
func (p *Problem) usable(s *Source) []int {
	var idx []int
	for j, t := range s.T {
		if t < p.From+0.05 || t > p.To-0.02 || !s.ok(t) || !finite(s.V[j]) {
			continue
		}
		switch s.Kind {
		case Undriven, DrivenWheel:
			if s.V[j] <= 0.05 || t <= p.RestTo {
				continue // blind near standstill
			}
		case Satellite:
			if t <= p.RestTo {
				continue
			}
		}
		idx = append(idx, j)
	}
	return idx
}

// priors fills in what the problem leaves open, and holds what nothing in the log can tell:
// at the prior, by a thousandth of its spread, which is added to the results instead.
func (r *Result) priors(p *Problem) Priors {
	pr, def := p.Priors, DefaultPriors()
	if pr.WheelScale.SD == 0 {
		pr.WheelScale = def.WheelScale
	}
	if pr.WheelSpread == 0 {
		pr.WheelSpread = def.WheelSpread
	}
	if pr.Growth.SD == 0 {
		pr.Growth = def.Growth
	}
	if pr.Lean.SD == 0 {
		pr.Lean = def.Lean
	}
	if pr.DrivenSlip.SD == 0 {
		pr.DrivenSlip = def.DrivenSlip
	}
	if pr.SlipWander == 0 {
		pr.SlipWander = def.SlipWander
	}
	if pr.SlipSD == 0 {
		pr.SlipSD = def.SlipSD
	}
	if pr.Latency.SD == 0 {
		pr.Latency = def.Latency
	}
	absolute, wheels, rolls := false, false, false
	for i := range p.Sources {
		s := &p.Sources[i]
		absolute = absolute || s.Kind == Satellite && len(s.T) > 10
		rolls = rolls || s.Kind == Undriven
		wheels = wheels || rolls || s.Kind == DrivenWheel
	}
	if absolute {
		return pr
	}
	if wheels {
		if q, ok := pr.Known["wheel scale"]; ok && q.SD < pr.WheelScale.SD {
			pr.WheelScale, pr.WheelSpread = q, math.Min(pr.WheelSpread, q.SD)
		}
		if q, ok := pr.Known["growth"]; ok && q.SD < pr.Growth.SD {
			pr.Growth = q
		}
		r.unfixed = scaled{scale: math.Hypot(pr.WheelScale.SD, pr.WheelSpread), growth: pr.Growth.SD}
		if !rolls {
			// else the wheels' swings, which the spline would rather not follow, or an
			// accelerometer's unknown bias and lean, set the slip and with it the speed
			r.unfixed.scale = math.Hypot(r.unfixed.scale, pr.SlipSD)
			pr.DrivenSlip.SD /= 1000
		}
	} else {
		// how the reading follows fast changes must not set the scale of speed
		r.unfixed.scale = pr.Lean.SD
		pr.Lean.SD /= 1000
	}
	pr.WheelScale.SD, pr.WheelSpread, pr.Growth.SD = pr.WheelScale.SD/1000, 1e-5, pr.Growth.SD/1000
	return pr
}

// wheelLagSD is how well a wheel's delay is known before the log, s. One sensor's delay must be
// taken as known within a millisecond or two: all delays together are the same as another
// clock, and only where acceleration jumps fall between the knots would tell.
func wheelLagSD(p *Problem) float64 {
	switch {
	case !p.has(Undriven):
		return 0.002 // what a tyre's slip does between its readings would pass for delay
	case p.has(Accelerometer):
		return 0.008
	}
	return 0.0015
}

// has reports whether there is a source of a kind.
func (p *Problem) has(k Kind) bool {
	for i := range p.Sources {
		if p.Sources[i].Kind == k {
			return true
		}
	}
	return false
}
