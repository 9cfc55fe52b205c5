package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
)

// ownedTurbo is what a car's owner knows of its turbo beside its count: a stream of its own, so that the rest of
// the sheet stays as it was.
func (c Car) ownedTurbo() *rand.Rand { return stream(0, "owner's turbo/"+c.ID) }

// wheelTOML are the sheet's lines about the compressor wheel: three owners in five have both diameters from
// the maker, one in four has measured the inlet alone, the others know neither.
func (c Car) wheelTOML() string {
	r := c.ownedTurbo()
	knows := r.Float64()
	off := func(sd float64) float64 { return 1 + sd*clamp(r.NormFloat64(), -1.8, 1.8) }
	out := 2e3 * c.p.compRadius
	in := out * 0.745 * off(0.025)
	text := ""
	if knows < 0.85 {
		text += fmt.Sprintf("compressor_inducer_mm = %.1f\n", in*off(0.006))
	}
	if knows < 0.6 {
		text += fmt.Sprintf("compressor_exducer_mm = %.1f\n", out*off(0.004))
	}
	return text
}

// MapCSV is the compressor's map as the car's owner has digitised it, every point read to about 1 % and
// the maker's wheel not quite this one; nil for the half of the owners who have none.
func (c Car) MapCSV() []byte {
	r := c.ownedTurbo()
	r = rand.New(rand.NewPCG(r.Uint64(), 2))
	if r.IntN(2) == 0 {
		return nil
	}
	off := func(sd float64) float64 { return 1 + sd*clamp(r.NormFloat64(), -2, 2) }
	const t, pressure = 298.0, 100e3
	p := &c.p
	b := &strings.Builder{}
	fmt.Fprintf(b, "# compressor of an invented car\n# reference_temperature_k = %.0f\n# reference_pressure_kpa = %.0f\nspeed [rpm],flow [kg/s],pressure ratio,efficiency\n", t, pressure/1e3)
	kind := off(0.012)
	for _, share := range []float64{0.45, 0.58, 0.70, 0.80, 0.89, 0.97, 1.03} {
		w := math.Round(share*p.maxTurbo/rpm/1e3) * 1e3 * rpm
		u := w * p.compRadius * kind
		mach := u / math.Sqrt(gamAir*rAir*t)
		top := p.compPhi * 0.48
		choke := p.compChoke * (1 - 0.22*max(mach-0.8, 0))
		for k := range 8 {
			phi := 0.6*top + (top+0.9*(choke-top)-0.6*top)*float64(k)/7
			ps, _ := p.compressor(phi, mach)
			ratio := math.Pow(1+ps*u*u/(cpAir*t), 3.5)
			flow := phi * pressure / (rAir * t) * u * math.Pi * p.compRadius * p.compRadius
			eff := ps / (0.80 - 0.85*phi + 0.012/max(phi, 0.03))
			fmt.Fprintf(b, "%.0f,%.4f,%.3f,%.3f\n", w/rpm, flow*off(0.007), 1+(ratio-1)*off(0.006), eff)
		}
	}
	return []byte(b.String())
}
