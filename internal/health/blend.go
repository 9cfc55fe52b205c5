package health

import (
	"fmt"
	"math"

	"traplight/internal/num/stats"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

// A tank filled with another blend is no fault, and moves a good deal: the fuel
// asked for the air by the stoichiometry, which is reckoned out of the readings,
// and by amounts that nobody knows beforehand the ignition that the computer
// allows, torque, heat. So ethanol content is a covariate of whole passes.

// blendMoves is by how much a watch's level may differ between no ethanol and all
// ethanol, standard deviation, unit of the watch (common practice, no source; wide
// on purpose); the car's own passes on several blends narrow it. What is not listed
// does not care for the blend.
var blendMoves = map[string]float64{
	"injectors over air": 0.06, "fuel flow over air": 0.06, "fuel flow over injectors": 0.04, "fuel trim": 0.15, "pump duty": 0.4,
	"fuel over manifold": 20e3, "lambda": 0.06, "exhaust temperature": 130, "exhaust apart": 10, "torque over air": 0.15, "ignition": 0.25,
	"knock level": 0.8, "charge heat": 12, "back-pressure": 0.1, "boost rise": 40e3, "boost course": 20e3, "turbo speed": 0.03,
	"wastegate": 0.2, "coolant heat": 3, "oil heat": 2, "cooler water heat": 3, "coolant pressure": 10e3,
}

// blendOf is what a log, its note and the sheet say of the fuel; ethanol is NaN
// where none of them tells. measured says that this pass's own was measured.
func (f *frame) blendOf() (p fuel.Properties, ethanol float64, measured bool) {
	k := fuel.Known{Name: f.sheet.Fuel, Stoich: f.sheet.StoichAFR, Density: f.sheet.FuelDensity}
	if c := f.set.First(quantity.EthanolFraction); c != nil {
		if v := stats.Median(c.Trace.V); v >= 0 && v <= 1 {
			k.Ethanol = &quantity.Estimate{Value: v}
		}
	}
	if k.Ethanol == nil && f.note != nil && f.note.Ethanol >= 0 && f.note.Ethanol <= 1 {
		k.Ethanol = &quantity.Estimate{Value: f.note.Ethanol}
	}
	if k.Ethanol != nil {
		k.Density = 0 // the sheet's is of the usual blend
	}
	a := fuel.Resolve(k)
	if a.Source == "assumed" {
		return a.Properties, nan(), false
	}
	return a.Properties, a.Properties.Ethanol.Value, a.MeasuredEth
}

// fuelPerAir is the natural logarithm of how much fuel of this blend a kilogram of
// air needs against gasoline, 1, and of its density against 750 kg/m³: what an
// injector must pass grows with the first and falls with the root of the second
// (Bernoulli), a volume flow with all of it.
func (f *frame) fuelPerAir() (mass, density float64) {
	if math.IsNaN(f.ethanol) {
		return 0, 0
	}
	return math.Log(14.6 / f.fuelIs.Stoich.Value), math.Log(f.fuelIs.Density.Value / 750)
}

// blendApart is the covariate of the blend: how far each pass's ethanol content,
// 0–1, is from this one's; nil when it never is by more than a sensor's error, or
// nobody knows.
func (f *frame) blendApart(past []Summary) *covariate {
	const least = 0.04
	c, any := &covariate{name: "blend", level: func(l *look) float64 { return byWatch(blendMoves, l.id) }, slopes: overLoad}, false
	for _, s := range past {
		off := 0.0
		if s.Ethanol != nil && !math.IsNaN(f.ethanol) {
			off = *s.Ethanol - f.ethanol
		}
		c.apart = append(c.apart, off)
		any = any || math.Abs(off) > least
	}
	if !any {
		return nil
	}
	return c
}

// otherBlend says what blend would explain fuel that is asked for the air, more or
// less than before, the whole pass through and alike at every load, while the
// mixture stayed where it belongs and torque did not follow: nobody measured the
// fuel of this pass. ok is false when it does not look so.
func (j *judge) otherBlend() (ethanol float64, ok bool) {
	_, e, measured := j.blendOf()
	if measured || math.IsNaN(e) || len(j.past) == 0 || j.fuelIs.Methanol > 0.02 {
		return 0, false
	}
	const (
		least = 0.04 // below it nothing needs explaining
		agree = 0.03 // injectors and flow meter to each other
	)
	var sizes []float64
	lambda := false
	for _, o := range j.obs {
		switch o.id {
		case "injectors over air", "fuel flow over air":
			if o.rows == nil || o.model == nil {
				continue
			}
			v, whole := o.throughout()
			if !whole {
				return 0, false
			}
			sizes = append(sizes, v)
		case "lambda":
			lambda = true
			if o.evidence > 2 {
				return 0, false
			}
		case "torque over air":
			if o.evidence > 2 && len(sizes) > 0 && math.Abs(o.hit.Size) > 0.4*math.Abs(sizes[0]) {
				return 0, false
			}
		case "fuel over manifold":
			if o.evidence > 2 {
				return 0, false
			}
		}
	}
	if !lambda || len(sizes) == 0 || math.Abs(sizes[0]) < least || len(sizes) == 2 && math.Abs(sizes[0]-sizes[1]) > agree {
		return 0, false
	}
	// The blend that asks for so much more, by bisection: it grows with ethanol.
	base := math.Log(1 / j.fuelIs.Stoich.Value)
	need := func(e float64) float64 { return math.Log(1/fuel.EthanolBlend(e, 0).Stoich.Value) - base - sizes[0] }
	const slack = 0.04
	if need(0) > slack || need(1) < -slack {
		return 0, false
	}
	lo, hi := 0.0, 1.0
	for range 40 {
		if m := (lo + hi) / 2; need(m) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2, true
}

// throughout is how far a watch's rows lie from the model, median, in its unit, and
// whether they do so alike from the first to the last.
func (o *observation) throughout() (size float64, alike bool) {
	n := o.rows.len()
	if n < 12 {
		return 0, false
	}
	off := make([]float64, n)
	for i, y := range o.rows.Y {
		off[i] = y
		for k, b := range o.model.coef {
			off[i] -= b * o.rows.X[i*o.rows.P+k]
		}
	}
	size = stats.Median(off)
	for part := range 3 {
		if m := stats.Median(off[part*n/3 : (part+1)*n/3]); math.Abs(m-size) > 0.015+0.12*math.Abs(size) {
			return size, false
		}
	}
	return size, true
}

// suppose takes a blend for granted and looks again.
func (j *judge) suppose(ethanol float64) {
	before := j.ethanol
	j.ethanol, j.fuelIs = ethanol, fuel.EthanolBlend(ethanol, 0.1)
	j.obs = nil
	j.look()
	j.doubts = append(j.doubts, fmt.Sprintf("quantity of fuel: more or less is asked for the air than before, the whole pass through and with the mixture as usual, as a blend of about %.0f %% ethanol instead of %.0f %% would; measure the fuel and note ethanol_pct",
		100*ethanol, 100*before))
}
