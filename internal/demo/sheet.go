package demo

import (
	"fmt"
	"math"
	"strings"
)

// SheetTOML is the car's sheet as its owner would write it: gear ratios exact,
// the mass off by up to 1 %, the drag area by some 10 %, the rest rough.
func (c Car) SheetTOML() []byte {
	p, s := &c.p, &c.spec
	r := stream(0, "owner/"+c.ID)
	n := func(sd float64) float64 { return clamp(r.NormFloat64(), -1.8, 1.8) * sd }
	b := &strings.Builder{}
	w := func(f string, a ...any) { fmt.Fprintf(b, f+"\n", a...) }
	w("# what the owner knows about the car; an invented car of the demo")
	w("name = %q", c.Name)
	w("text = %q", c.Text)
	w("\n[body]")
	w("mass_kg = %.0f            # with driver and fuel, corner scales", p.mass*(1+n(0.006)))
	w("cda_m2 = %.2f             # estimate", p.cda*(1+n(0.06)))
	w("wheelbase_m = %.2f", p.wheelbase)
	w("cg_height_m = %.2f       # estimate", p.hcg+n(0.015))
	w("front_weight_share = %.3f", p.wf+n(0.003))
	w("\n[driveline]\ndriven = %q", p.driven.String())
	kind, style := "synchro", "throttle lifted"
	switch p.box {
	case synchroFlat:
		style = "clutch, throttle held, ignition cut"
	case dogCut:
		kind, style = "dog", "ignition cut, throttle held"
	case paddleCut:
		kind, style = "dog", "paddles, ignition cut, throttle held"
	}
	w("gearbox = %q\nshift_style = %q", kind, style)
	w("gears = %s", list(p.gears, 1, -1))
	w("final_drive = %s", trim(p.final))
	w("loss_share = %.2f          # guess", clamp(1-p.mesh+n(0.012), 0.02, 0.12))
	w("clutch_torque_rating_nm = %.0f", math.Round(p.clutchTorque/50)*50)
	w("\n[tyres]\nsize = %q", p.tyreSize)
	w("unloaded_radius_m = %.3f", p.r0+p.unloadedAdd)
	w("circumference_set_in_logger_m = %.3f", p.setCircum)
	w("usual_cold_pressure_bar = %.2f", p.pCold/1e5)
	w("\n[engine]\ndisplacement_l = %.1f\ncylinders = %d\nrev_limit_rpm = %.0f", p.vd*1e3, p.cyl, p.revLimit/rpm)
	w("fuel = %q\nstoich_afr = %.2f\nfuel_density_kg_m3 = %.0f", p.fuel.name, p.fuel.afr, p.fuel.density)
	w("injectors_total_flow_l_min = %.2f   # at %.1f bar across", p.injFlow*60e3*(1+n(0.01)), p.basePress/1e5)
	w("fuel_pressure_base_bar = %.1f        # rises one for one with manifold pressure", p.basePress/1e5)
	for _, l := range c.pumpTOML() {
		w("%s", l)
	}
	w("turbo = %q", p.turboText)
	b.WriteString(c.wheelTOML())
	w("usual_boost_kpa_by_gear = %s", list(p.boost, 1e-3, 0))
	w("usual_shift_rpm = %s", list(p.shiftAim, 1/rpm, 0))
	w("slip_cut = %v", p.slipCutAt > 0)
	w("lambda_scale_in_afr_columns = 14.7")
	if p.absolute {
		w("boost_setpoint = \"absolute\"")
	} else {
		w("boost_setpoint = \"gauge\"")
	}
	w("\n[limits]\nmax_boost_kpa = %.0f", s.boostMax*1.12)
	var in []float64
	for range p.gears {
		in = append(in, math.Round(p.clutchTorque*0.92/10)*10)
	}
	w("gearbox_torque_nm_by_gear = %s", list(in, 1, 0))
	w("max_injector_duty = 0.90\nmax_back_pressure_ratio = 2.0\nmax_turbo_rpm = %.0f\nmax_crank_power_kw = %.0f\nmax_exhaust_temp_c = %.0f\ntyre_speed_kmh = %d",
		math.Round(p.maxTurbo/rpm/500)*500, math.Round(c.Limits().CrankPower/1e3/10)*10, c.Limits().ExhaustTemp-kelvin, 370)
	if p.n2oFlow > 0 {
		kindN := "dry"
		w("\n[nitrous]\nflow_kg_s = %.3f\nkind = %q\nbelow_target_kpa = %.0f\nbottle_pressure_bar = 62", p.n2oFlow, kindN, p.n2oBelow/1e3)
	}
	w("\n[target]\ntrap_mph = %.0f", s.target/0.44704)
	return []byte(b.String())
}

// pumpTOML is what the owner knows of the fuel pumps: nothing in one sheet of four; one point of the
// maker's curve, or two, which the pump in the car keeps to 4 %; or what was measured in it, to 2 %.
func (c Car) pumpTOML() []string {
	p := &c.p
	r := stream(0, "pump/"+c.ID)
	luck := clamp(r.NormFloat64(), -1.8, 1.8)
	at := func(rail, sd float64) string {
		q := (1 + sd*luck) * p.pumpFlow * (1 - p.pumpDrop*(rail-p.basePress)/1e5)
		return fmt.Sprintf("%.0f", math.Round(q*3.6e6/5)*5)
	}
	switch r.IntN(4) {
	case 0:
		return []string{"fuel_pumps_total_flow_l_h = " + at(3e5, 0.04) + "        # by the maker", "fuel_pumps_rated_at_bar = 3"}
	case 1:
		return []string{"fuel_pumps_total_flow_l_h = [" + at(3e5, 0.04) + ", " + at(6e5, 0.04) + "]", "fuel_pumps_rated_at_bar = [3, 6]   # the maker's curve"}
	case 2:
		return []string{"fuel_pumps_total_flow_l_h = " + at(5e5, 0.02), "fuel_pumps_rated_at_bar = 5", "fuel_pumps_measured = true       # into a can, engine running"}
	}
	return nil
}

// Limits are the car's hard limits as its sheet states them.
type Limits struct {
	Boost         float64 // Pa gauge
	GearboxTorque float64 // N·m at the input shaft, every gear
	InjectorDuty  float64 // 0–1
	BackPressure  float64 // 1, turbine inlet over manifold
	TurboSpeed    float64 // rad/s
	CrankPower    float64 // W
	ExhaustTemp   float64 // K
	TyreSpeed     float64 // m/s
	ShutDown      float64 // m
}

// Limits returns the car's hard limits.
func (c Car) Limits() Limits {
	p, s := &c.p, &c.spec
	power, exhaust := 1.08e6, 1030.0
	if p.fuel.name == "methanol" {
		power, exhaust = 1.24e6, 950
	}
	return Limits{Boost: s.boostMax * 1.12e3, GearboxTorque: math.Round(p.clutchTorque*0.92/10) * 10, InjectorDuty: 0.90, BackPressure: 2,
		TurboSpeed: p.maxTurbo, CrankPower: s.airPeak * power, ExhaustTemp: exhaust + kelvin, TyreSpeed: 370 / 3.6, ShutDown: 1000}
}

func list(x []float64, scale float64, digits int) string {
	var s []string
	for _, v := range x {
		if digits < 0 {
			s = append(s, trim(v*scale))
		} else {
			s = append(s, fmt.Sprintf("%.*f", digits, v*scale))
		}
	}
	return "[" + strings.Join(s, ", ") + "]"
}

func trim(v float64) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", v), "0"), ".")
}
