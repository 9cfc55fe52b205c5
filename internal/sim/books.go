package sim

// Books is the account of energy, J, from the start state to the line.
type Books struct {
	Crank   float64 // J given by the engine with the clutch closed
	Aero    float64 // J
	Rolling float64 // J
	Grade   float64 // J
	Tyre    float64 // J lost in slip
	Gearbox float64 // J
	Clutch  float64 // J of heat in shifts
	Engine  float64 // J that the engine's own drag took from its rotation in shifts; negative where it still pulled
	Gain    float64 // J, kinetic energy gained by body, wheels and engine
}

// Residual is what the books do not explain, J. No line of them is found as what is
// left of the others.
func (b *Books) Residual() float64 {
	return b.Crank - b.Aero - b.Rolling - b.Grade - b.Tyre - b.Gearbox - b.Clutch - b.Engine - b.Gain
}

// The accounts that slopes integrates, by place in the state.
const (
	accCrank = states + iota
	accAero
	accRoll
	accGrade
	accTyre
	accGears
	accEnd
)

// kinetic is the kinetic energy of body, wheels and engine in a gear (from 1), J.
func (r *Runner) kinetic(y []float64, gear int) float64 {
	c := r.Car
	w := y[2]
	if r.p.Ideal.Grip {
		w = y[1] / r.radius(y[1])
	}
	we := w * c.Ratios[gear-1]
	return 0.5 * ((c.Mass+c.UndrivenInertia/(c.Radius*c.Radius))*y[1]*y[1] + c.DrivenInertia*w*w + c.EngineInertia*we*we)
}

// slowed books what the engine lost by itself between two speeds, rad/s.
func (r *Runner) slowed(res *Result, from, to float64) {
	if b := res.Books; b != nil {
		b.Engine += 0.5 * r.Car.EngineInertia * (from*from - to*to)
	}
}

// close finishes the books at the end state y in gear (from 1).
func (r *Runner) close(res *Result, y []float64, before float64, gear int) {
	b := res.Books
	if b == nil {
		return
	}
	b.Crank, b.Aero, b.Rolling, b.Grade, b.Tyre, b.Gearbox = y[accCrank], y[accAero], y[accRoll], y[accGrade], y[accTyre], y[accGears]
	b.Gain = r.kinetic(y, gear) - before
}
