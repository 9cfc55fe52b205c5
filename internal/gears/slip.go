package gears

import (
	"math"

	"traplight/internal/num/hmm"
)

const (
	slipsFor    = 0.3   // s of pull without a gear, from which a clutch is thought to slip
	slipPulls   = 0.8   // m/s², least pull of a slipping clutch
	slipMost    = 0.7   // ln of engine speed over the gear's, most
	slipLike    = 0.6   // weight of a slipping clutch beside a closed one, as ratios go
	slipInFirst = 0.5   // weight of slip that stands at first gear's ratio, far above the next: first explains it
	slipBegin   = 0.2   // share of the times a gear is left in which its clutch begins to slip
	slipAtOne   = -15.0 // log factor of a clutch that slips from the shift on
	noDrive     = 0.01  // weight of an open clutch while the car pulls
	noChange    = 6.0   // times holdOn: what pulls through without a fall of engine speed stays in its gear
	takesUp     = 0.5   // s, slip behind a shift that is the shift's own
	letsGo      = 0.15  // s, and before one
)

// slips says whether a path leaves the car pulling without a gear, once one has been
// engaged, or takes it down a gear at full pull: what a clutch does that carries less
// than the engine gives.
func (p *Problem) slips(path []int) bool {
	g := len(p.Ratios)
	last, alone := 0, 0.0
	for i, st := range path {
		pulls := p.Pull[i] > pullsOn
		switch {
		case st > g && pulls:
			if alone += p.Step; alone >= slipsFor {
				return true
			}
		case st > g || st == 0:
			alone = 0
		default:
			alone = 0
			if st < last && pulls {
				return true
			}
			last = st
		}
	}
	return false
}

// slipping is the chain with a further state for each gear, 2g+k: the clutch slips in gear
// k while the car pulls. Engine speed then stands above the gear's by any amount, but
// moves as smoothly as the closed clutch lets it; and as pull has to come through some gear,
// none is left while the pull goes on and engine speed does not fall.
func (p *Problem) slipping(spread float64) *hmm.Model {
	g, n := len(p.Ratios), len(p.Engine)
	m := p.model(spread)
	none := math.Inf(-1)
	k := p.Step / 0.01
	st, op := math.Pow(stay, k), math.Pow(openStay, k)
	for i := range m.Transition {
		row := append(m.Transition[i], make([]float64, g)...)
		for j := 1; j <= g; j++ {
			switch {
			case i == j:
				row[2*g+j] = math.Log((1 - st) * slipBegin)
			case i > g && (j == i-g || j == i-g+1): // what is skipped cannot be told from slip
				row[2*g+j] = math.Log((1-op)*nextGear[j-(i-g)]) + slipAtOne
			default:
				row[2*g+j] = none
			}
		}
		m.Transition[i] = row
	}
	for j := 1; j <= g; j++ {
		row := make([]float64, 3*g+1)
		for i := range row {
			row[i] = none
		}
		row[2*g+j], row[j], row[g+j] = math.Log(st), math.Log((1-st)/2), math.Log((1-st)/2)
		m.Transition = append(m.Transition, row)
		m.Start = append(m.Start, -20)
		m.Group = append(m.Group, j)
	}
	m.Hold = p.whilePulling()
	for i := range m.Hold {
		m.Hold[i] *= noChange
	}
	for _, f := range Falls(p.Engine, p.Throttle, p.Step) { // as in a change under power
		for i := max(0, f.Top-1); i < min(n, f.Bottom+1); i++ {
			m.Hold[i] = 0
		}
	}
	for i := 0; i < n; i++ {
		e := m.Emission[i]
		if p.Pull[i] > pullsOn {
			for j := 1; j <= g; j++ {
				e[g+j] += math.Log(noDrive)
			}
		}
		m.Emission[i] = append(e, p.slipEmission(i, spread)[1:]...)
	}
	return m
}

// slipEmission is the log density of sample i in each gear, from 1, with a slipping clutch.
func (p *Problem) slipEmission(i int, spread float64) []float64 {
	g := len(p.Ratios)
	out := make([]float64, g+1)
	for j := range out {
		out[j] = math.Log(1e-4)
	}
	x, ok := p.ratio(i)
	if ok && p.Pull[i] > slipPulls {
		like := 1 / slipMost
		if before, ok := p.ratio(i - 1); ok {
			like = 0.9*normal(x-before, spread) + 0.1*like
		}
		for j := 1; j <= g; j++ {
			if d := x - math.Log(p.Ratios[j-1]); d > -0.5*spread && d < slipMost {
				out[j] = math.Log(slipLike * like)
				if j > 1 && math.Abs(x-math.Log(p.Ratios[0])) < 1.5*spread {
					out[j] += math.Log(slipInFirst)
				}
			}
		}
	}
	p.hear(i, out)
	return out
}

// ratio is ln of engine over wheel speed of sample i.
func (p *Problem) ratio(i int) (x float64, ok bool) {
	if i < 0 || !(p.Engine[i] > 30) || !(p.Wheel[i] > minWheel) {
		return 0, false
	}
	return math.Log(p.Engine[i] / p.Wheel[i]), true
}

// withSlip folds a path and probabilities of the slipping chain: held is the path in which
// a clutch that slips in a gear is in that gear, closed the one in which it is open. The
// slip in which a shift ends or begins is the shift's.
func (p *Problem) withSlip(path []int, post [][]float64) (held, closed []int) {
	g, n := len(p.Ratios), len(path)
	held, closed = make([]int, n), make([]int, n)
	for i := 0; i < n; {
		j := i
		for j < n && path[j] == path[i] {
			j++
		}
		gear := 0
		switch st := path[i]; {
		case st >= 1 && st <= g:
			gear = st
		case st > 2*g:
			gear = st - 2*g
			long := float64(j-i) * p.Step
			behind := i > 0 && path[i-1] != gear && j < n && path[j] == gear && long < takesUp
			before := i > 0 && path[i-1] == gear && (j == n || path[j] != gear) && long < letsGo
			if behind || before {
				gear = 0
			}
		}
		for ; i < j; i++ {
			held[i] = gear
			if path[i] <= g {
				closed[i] = gear
			}
		}
	}
	for i := range post {
		for j := 1; j <= g; j++ {
			post[i][j] += post[i][2*g+j]
		}
	}
	return held, closed
}
