package demo

import "math"

// Constants of nature and of air as this package uses them.
const (
	grav    = 9.80665 // m/s²
	rAir    = 287.05  // J/(kg·K)
	cpAir   = 1005.0
	gamAir  = 1.4
	rEx     = 290.0 // exhaust gas
	cpEx    = 1170.0
	gamEx   = 1.33
	rN2O    = 188.9
	n2oAir  = 1.5705 // kg of air with as much oxygen, per kg of nitrous oxide
	n2oHeat = 1.86e6 // J/kg of decomposition
	deg     = math.Pi / 180
	rpm     = math.Pi / 30
	kelvin  = 273.15
)

// table is a function sampled evenly on [lo, lo+step·(n−1)], linear between.
type table struct {
	lo, inv float64
	y       []float64
}

func newTable(lo, hi float64, n int, f func(float64) float64) *table {
	t := &table{lo: lo, inv: float64(n-1) / (hi - lo), y: make([]float64, n)}
	for i := range t.y {
		t.y[i] = f(lo + float64(i)/t.inv)
	}
	return t
}

func (t *table) at(x float64) float64 {
	f := (x - t.lo) * t.inv
	if f <= 0 {
		return t.y[0]
	}
	i := int(f)
	if i >= len(t.y)-1 {
		return t.y[len(t.y)-1]
	}
	return t.y[i] + (f-float64(i))*(t.y[i+1]-t.y[i])
}

// slope returns value and derivative.
func (t *table) slope(x float64) (float64, float64) {
	f := (x - t.lo) * t.inv
	i := min(max(int(f), 0), len(t.y)-2)
	d := t.y[i+1] - t.y[i]
	return t.y[i] + min(max(f-float64(i), 0), 1)*d, d * t.inv
}

// psi is the nozzle function sqrt(2γ/(γ−1)(p^(2/γ) − p^((γ+1)/γ))) of the
// pressure ratio down over up, held at its greatest value below the critical
// ratio and made linear above 0.995 where its slope would be infinite.
func psi(gam float64) func(float64) float64 {
	raw := func(pr float64) float64 {
		pr = max(pr, math.Pow(2/(gam+1), gam/(gam-1)))
		return math.Sqrt(2 * gam / (gam - 1) * max(0, math.Pow(pr, 2/gam)-math.Pow(pr, (gam+1)/gam)))
	}
	return func(pr float64) float64 {
		if pr > 0.995 {
			return raw(0.995) * (1 - pr) / 0.005
		}
		return raw(pr)
	}
}

var (
	psiAir   = newTable(0, 1, 2001, psi(gamAir))
	psiEx    = newTable(0, 1, 2001, psi(gamEx))
	dropEx   = newTable(1, 9, 1601, func(p float64) float64 { return 1 - math.Pow(p, -(gamEx-1)/gamEx) })
	pow077   = newTable(0, 8, 1601, func(p float64) float64 { return math.Pow(p, 1/1.3) })
	lessLoad = newTable(0.005, 4, 1601, func(x float64) float64 { return math.Pow(x, -0.10) }) // friction over load
	liftComp = newTable(0, 3, 3001, func(x float64) float64 { return math.Pow(1+x, gamAir/(gamAir-1)) })
)

// moistDensity is the density of air of pressure p, Pa, temperature t, K, and
// relative humidity rh, from two ideal gases and a Tetens vapour pressure.
func moistDensity(p, t, rh float64) float64 {
	pv := rh * vapour(t)
	return (p-pv)/(rAir*t) + pv/(461.5*t)
}

func vapour(t float64) float64 {
	c := t - kelvin
	return 610.78 * math.Exp(17.27*c/(c+237.3))
}

// dryShare is the share of the air's pressure that is not water vapour.
func dryShare(p, t, rh float64) float64 { return 1 - rh*vapour(t)/p }

func clamp(x, lo, hi float64) float64 { return min(max(x, lo), hi) }

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// soft is a sign that is smooth within w of zero.
func soft(x, w float64) float64 { return clamp(x/w, -1, 1) }

// toward moves x to target by a first-order lag of time constant tau over h.
func toward(x *float64, target, tau, h float64) { *x += (target - *x) * h / (tau + h) }

func gasoline() fuel { return fuel{"gasoline 100", 14.45, 43.2e6, 751, 350e3, 0, 0} }

// blend is gasoline with a volume share e of ethanol, mixed by mass.
func blend(e float64, name string) fuel {
	w := e * 789 / ((1-e)*748 + e*789)
	return fuel{name, (1-w)*14.55 + w*8.99, (1-w)*43.2e6 + w*26.85e6, (1-e)*748 + e*789, (1-w)*350e3 + w*915e3, 9 * e, e}
}

func methanol() fuel { return fuel{"methanol", 6.46, 20.0e6, 791, 1170e3, 11, -1} }
