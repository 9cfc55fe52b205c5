// Package fuelling is the chapter on fuel: how much flows, how rich the engine
// runs, what power that means, and what pump and injectors have left.
//
// Power by fuel goes by what limits a rich engine: its air. Fuel beyond lambda one
// finds no oxygen, so the heat set free is taken as flow × heating value ×
// min(lambda, 1), and the brake efficiency that goes with it changes far less between
// mixtures than the consumption of fuel does. The efficiency is the car's own where
// its passes have measured it; else it comes from the published range of brake-specific
// consumption with its whole width, which is 9 to 12 % and says so.
//
// See docs/fuel-by-flow.md for formulas, sources and limits.
package fuelling

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

// Fill adds to p what the fuel side shows: the gears' mixture, duty and fuel
// pressure, the power's fuel flow and power by fuel, and the part Fuel; with fuel flow
// and mixture also the volumetric efficiency of AirPath. It expects Gears, Power and
// AirPath to be filled. own is the car's brake efficiency as Fuel.Efficiency has it,
// 1, from its other passes; nil takes what this pass's gears show, else the published range. What could not be had is
// left nil and told in the sentences returned. note is the crew's note of the pass, for
// an ethanol content measured by hand; nil when there is none.
func Fill(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, note *car.PassNote, own *quantity.Estimate) []string {
	if sheet == nil {
		sheet = &car.Sheet{}
	}
	f := &pass.Fuel{}
	p.Fuel = f
	what, notes := resolve(set, sheet, note)
	f.Name, f.Stoich, f.StoichSource, f.HeatingValue = what.Name, what.Stoich, what.Source, what.LHV

	mix := mixture(set)
	if len(mix) == 0 {
		notes = append(notes, "no mixture: no channel for lambda")
	}
	rail := overManifold(p, set)
	duty := mean(set, quantity.InjectorDuty)
	for i := range p.Gears {
		g := &p.Gears[i]
		if v, ok := lambdaOver(mix, g.FullThrottle); ok {
			g.Lambda = &v
		}
		if v, ok := peakOver(duty, g.FullThrottle, +1); ok {
			g.MaxInjectorDuty = &v
			if spare := 1 - v; f.InjectorSpare == nil || spare < *f.InjectorSpare {
				f.InjectorSpare = &spare
			}
		}
		if v, ok := peakOver(rail, g.FullThrottle, -1); ok {
			g.MinFuelOverManifold = &v
			if sheet.FuelPressureBase > 0 {
				if loss := sheet.FuelPressureBase - v; f.PressureLoss == nil || loss > *f.PressureLoss {
					f.PressureLoss = &loss
				}
			}
		}
	}
	if rail.Len() == 0 {
		notes = append(notes, "no fuel pressure over the manifold: it needs channels for fuel pressure and manifold pressure")
	}
	flow, told := findFlow(set, sheet, what.Properties, rail, duty)
	notes = append(notes, told...)
	if flow == nil {
		return notes
	}
	f.FlowSource = flow.source
	for i := range p.Gears {
		if v, ok := peakOver(flow.x, p.Gears[i].FullThrottle, +1); ok && flow.metered {
			p.Gears[i].MaxFuelFlow = &v
		}
	}
	if v, ok := mostOver(p, flow.x); ok {
		f.FlowMax = &quantity.Estimate{Value: v, SD: flow.rel * v}
	}
	return append(notes, atPeak(p, set, sheet, f, flow, mix, what.Properties, own)...)
}

// resolve decides what the fuel is from the log's ethanol sensor, the content that the
// crew measured, and the sheet. The sensor saw the fuel of this very pass, so it goes
// first; a measurement by hand that contradicts it is told.
func resolve(set *dictionary.Set, sheet *car.Sheet, note *car.PassNote) (fuel.Answer, []string) {
	known := fuel.Known{Name: sheet.Fuel, Stoich: sheet.StoichAFR, Density: sheet.FuelDensity}
	var told []string
	byHand := math.NaN()
	if note != nil && note.Ethanol > 0 && note.Ethanol <= 1 {
		byHand = note.Ethanol
		known.Ethanol = &quantity.Estimate{Value: byHand, SD: handSD}
	}
	if c := set.First(quantity.EthanolFraction); c != nil {
		if v := stats.Median(c.Trace.V); v >= 0 && v <= 1 {
			known.Ethanol = &quantity.Estimate{Value: v}
			if math.Abs(v-byHand) > 3*math.Hypot(handSD, handSD) {
				told = append(told, fmt.Sprintf("the ethanol sensor says %.0f %%, the notes %.0f %%; the sensor is used", 100*v, 100*byHand))
			}
		}
	}
	a := fuel.Resolve(known)
	return a, append(told, a.Warnings...)
}

// Brake efficiency over the heat that the air can set free that no engine is below or above at
// full load, 1 (common practice, no source: 0.25 to 0.45 is usual).
const leastEfficiency, mostEfficiency = 0.1, 0.7

// handSD is how far an ethanol content measured with water in a glass tube may be off, 1.
// Common practice, no source: the tube is read to two or three per cent.
const handSD = 0.03

// atPeak fills in the figures at peak power.
func atPeak(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet, f *pass.Fuel, flow *flow, mix []lambdaSensor, what fuel.Properties, own *quantity.Estimate) []string {
	if p.Power == nil {
		return nil
	}
	at := pass.Window{From: p.Power.At - peakWidth/2, To: p.Power.At + peakWidth/2}
	v, ok := flow.x.Mean(at.From, at.To, flow.x.LongestGap())
	if !ok || v <= 0 {
		return []string{"no power by fuel: no fuel flow was logged at peak power"}
	}
	p.Power.FuelFlow = &v
	lam := quantity.Estimate{Value: usualLambda, SD: usualLambdaSD}
	measured := false
	if l, ok := lambdaAt(mix, p); ok {
		lam = quantity.Estimate{Value: l, SD: lambdaRel * l}
		f.Lambda, measured = &lam, true
	}
	eta := publishedEfficiency(what)
	if own != nil && own.Value > 0 {
		eta = *own
	}
	share := min(lam.Value, 1)
	heat := v * what.LHV.Value * share
	relLambda := lam.SD / lam.Value
	if lam.Value > 1 {
		relLambda = 0
	}
	// The car's own efficiency was found with this same meter, fuel and sensor: their
	// lasting errors are in it and cancel.
	rel := hypot(eta.SD/eta.Value, flow.rel, what.LHV.SD/what.LHV.Value, relLambda)
	if own != nil && own.Value > 0 {
		rel = hypot(eta.SD/eta.Value, passToPass)
	}
	if c := p.Power.Crank; c != nil && (c.Value > mostEfficiency*heat || c.Value < leastEfficiency*heat) {
		p.Power.FuelFlow, f.FlowMax, f.Lambda = nil, nil, nil
		if measured {
			f.Lambda = &lam
		}
		return []string{fmt.Sprintf("no power by fuel: by the fuel flow as it is read the engine would turn %.3g %% of its heat into power, which no engine does; its unit, or the injectors' size, looks wrong, and [channels] of the sheet can put it right", 100*c.Value/heat)}
	}
	p.Power.ByFuel = &quantity.Estimate{Value: eta.Value * heat, SD: rel * eta.Value * heat}
	if own == nil {
		if seen := byGears(p, set, flow, mix, what, sheet.Displacement, heat); seen != nil && seen.SD < p.Power.ByFuel.SD {
			p.Power.ByFuel = seen
		}
	}
	if c := p.Power.Crank; c != nil && heat > 0 {
		e := c.Value / heat
		f.Efficiency = &quantity.Estimate{Value: e, SD: e * hypot(c.SD/c.Value, flow.rel, what.LHV.SD/what.LHV.Value, relLambda)}
	}
	if !measured {
		return []string{fmt.Sprintf("power by fuel: lambda taken as %.2f (± %.2f), no channel for it at peak power", usualLambda, usualLambdaSD)}
	}
	air := v * lam.Value * what.Stoich.Value
	f.AirByFuel = &quantity.Estimate{Value: air, SD: air * hypot(flow.rel, relLambda, what.Stoich.SD/what.Stoich.Value)}
	fill(p, f)
	return nil
}

// publishedEfficiency turns the published range of consumption, which holds for
// rich full load, into brake efficiency over the heat that the air there can set free.
func publishedEfficiency(what fuel.Properties) quantity.Estimate {
	e := fuel.Efficiency(what.BSFC.Value, what.LHV.Value) / usualLambda
	return quantity.Estimate{Value: e, SD: e * hypot(rangeHolds*what.BSFC.SD/what.BSFC.Value, usualLambdaSD/usualLambda)}
}

func hypot(v ...float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x * x
	}
	return math.Sqrt(s)
}
