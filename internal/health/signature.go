package health

import "strings"

// role is how a kind of fault moves a watch.
type role struct {
	watch string  // id, or its beginning for indexed watches
	sign  float64 // +1, −1, or 0 for either
	part  part
	share float64 // how much of the watch's evidence counts, 0–1
}

type part int

const (
	must   part = iota // one of these has to move, in this direction
	should             // moves if the fault is large enough; its stillness tells against
	may                // may move; explained when it does
)

// signature is what a kind does to the watches, from physics; sources of the
// less obvious signs stand in docs/health.md. A watch that is not listed stays
// where it is.
type signature struct {
	kind  Kind
	prior float64 // natural logarithm of how common it is beside the others
	roles []role
}

var signatures = []signature{
	{CylinderDown, 0, []role{
		{"misfire", 1, may, 0.8},
		{"idle vacuum", 1, may, 0.8}, {"idle speed", -1, may, 0.6},
		{"torque over air", -1, must, 1}, {"exhaust apart", 0, must, 1}, {"lambda apart", 0, should, 1}, {"lambda", 0, may, 0.8},
		{"exhaust temperature", 0, may, 0.7}, {"boost rise", -1, may, 0.8}, {"boost short of target", -1, may, 0.6}, {"back-pressure", 0, may, 0.7},
		{"wastegate", 0, may, 0.7}, {"turbo speed", 0, may, 0.3}, {"knock level", 0, may, 0.5}, {"fuel trim", 0, may, 0.7}, {"fuel flow over air", 0, may, 0.5}, {"crankcase pressure", 1, may, 0.5},
		{"boost course", -1, may, 0.7},
		// What does not burn heats nothing.
		{"oil heat", -1, may, 0.6}, {"coolant heat", -1, may, 0.6}, {"coolant swell", -1, may, 0.5},
	}},
	{Ignition, -0.5, []role{
		{"misfire", 1, must, 1},
		{"idle speed", -1, may, 0.6}, {"idle vacuum", 1, may, 0.6},
		{"torque over air", -1, must, 1}, {"ignition", 0, must, 1}, {"lambda", 1, should, 1}, {"exhaust temperature", 0, may, 0.9}, {"lambda apart", 0, may, 0.6},
		{"exhaust apart", 0, may, 0.6}, {"boost rise", 0, may, 0.7}, {"back-pressure", 0, may, 0.7}, {"wastegate", 0, may, 0.6}, {"boost short of target", -1, may, 0.5},
		{"boost over target", 0, may, 0.4}, {"knock level", 0, may, 0.5},
		{"boost course", 0, may, 0.7}, {"oil heat", -1, may, 0.6}, {"coolant heat", -1, may, 0.6}, {"coolant swell", -1, may, 0.5},
	}},
	{BoostLeak, 0, []role{
		// A manifold that is not tight takes in air at idle.
		{"idle vacuum", 1, must, 1}, {"idle speed", 1, must, 0.85},
		{"turbo speed", 1, must, 1}, {"boost short of target", -1, must, 0.9}, {"boost rise", -1, must, 0.9}, {"boost course", -1, must, 1}, {"back-pressure", 1, should, 1},
		{"wastegate", 0, may, 0.8}, {"cooler pressure loss", 0, may, 0.9}, {"boost over target", -1, may, 0.9}, {"charge heat", 1, may, 0.8}, {"compressor heat", 1, may, 0.7},
		{"inlet depression", 1, may, 0.7}, {"exhaust temperature", 0, may, 0.5}, {"knock level", -1, may, 0.3}, {"torque over air", 0, may, 0.4}, {"lambda", 0, may, 0.4},
		{"injectors over air", 0, may, 0.5}, {"fuel flow over air", 0, may, 0.5}, {"ignition", 0, may, 0.5}, {"coolant heat", 0, may, 0.5}, {"cooler water heat", 0, may, 0.5}, {"oil heat", 0, may, 0.5}, {"crankcase pressure", 0, may, 0.4},
	}},
	{Underboost, 0, []role{
		{"boost short of target", -1, must, 1}, {"boost over target", -1, must, 1}, {"boost course", -1, must, 1}, {"boost rise", -1, must, 0.9}, {"back-pressure", -1, should, 1},
		{"wastegate", 0, may, 1}, {"charge heat", -1, may, 0.5}, {"exhaust temperature", 0, may, 0.5}, {"torque over air", 0, may, 0.4},
		{"injectors over air", 0, may, 0.5}, {"fuel flow over air", 0, may, 0.5}, {"ignition", 0, may, 0.5}, {"coolant heat", 0, may, 0.5}, {"cooler water heat", 0, may, 0.5}, {"oil heat", 0, may, 0.5}, {"crankcase pressure", 0, may, 0.4}, {"compressor heat", 0, may, 0.5}, {"lambda", 0, may, 0.4}, {"knock level", -1, may, 0.3}, {"turbo speed", 0, may, 0.3},
	}},
	{Overboost, 0.3, []role{
		// Far over its target an engine runs out of fuel and into knock: what else
		// moves is the consequence.
		{"boost over target", 1, must, 1}, {"boost course", 1, must, 1}, {"boost rise", 1, may, 0.9}, {"back-pressure", 0, may, 0.9}, {"wastegate", 0, may, 1}, {"knock level", 1, may, 0.9}, {"knock bursts", 1, may, 0.9},
		{"ignition", 0, may, 0.8}, {"exhaust temperature", 0, may, 0.8}, {"torque over air", 0, may, 0.7}, {"lambda", 0, may, 0.8}, {"turbo speed", 0, may, 0.6}, {"boost short of target", 1, may, 0.8},
		{"fuel over manifold", -1, may, 0.7}, {"injectors over air", 0, may, 0.7}, {"fuel flow over air", 0, may, 0.7}, {"fuel flow over injectors", 0, may, 0.7}, {"charge heat", 0, may, 0.7}, {"compressor heat", 0, may, 0.7},
		{"coolant heat", 0, may, 0.5}, {"cooler water heat", 0, may, 0.6}, {"oil heat", 0, may, 0.5}, {"crankcase pressure", 0, may, 0.6}, {"inlet depression", 0, may, 0.7}, {"lambda apart", 0, may, 0.4}, {"exhaust apart", 0, may, 0.4},
		{"engine over wheels", 0, may, 0.4}, {"driven pair", 0, may, 0.4}, {"cooler pressure loss", 0, may, 0.5}, {"voltage", 0, may, 0.3},
	}},
	{TurboOverspeed, -0.5, []role{
		{"turbo speed", 1, must, 1}, {"inlet depression", 1, must, 1}, {"compressor heat", 1, should, 0.8}, {"charge heat", 1, may, 0.8}, {"back-pressure", 1, may, 0.9},
		{"boost rise", -1, may, 0.8}, {"boost short of target", -1, may, 0.6}, {"wastegate", 0, may, 0.8}, {"torque over air", -1, may, 0.4},
		{"boost course", -1, may, 0.7}, {"boost over target", -1, may, 0.7},
		// A hotter charge, and what follows from it.
		{"ignition", -1, may, 0.5}, {"exhaust temperature", 0, may, 0.5}, {"injectors over air", 0, may, 0.5}, {"fuel flow over air", 0, may, 0.5}, {"lambda", 0, may, 0.4},
		{"coolant heat", 0, may, 0.5}, {"cooler water heat", 0, may, 0.5}, {"oil heat", 0, may, 0.5},
	}},
	{TurbineChoke, -0.3, []role{
		{"back-pressure", 1, must, 1}, {"torque over air", -1, should, 0.8}, {"exhaust temperature", 1, may, 0.8}, {"wastegate", 0, may, 0.9}, {"boost rise", 0, may, 0.6},
		{"boost short of target", -1, may, 0.5}, {"boost over target", 0, may, 0.7}, {"injectors over air", -1, may, 0.8}, {"fuel flow over air", -1, may, 0.8}, {"lambda", -1, may, 0.5}, {"knock level", 1, may, 0.4}, {"turbo speed", 0, may, 0.5}, {"compressor heat", 0, may, 0.3},
		{"boost course", 0, may, 0.7},
	}},
	{FuelSupply, 0.3, []role{
		{"fuel over manifold", -1, must, 1}, {"lambda", 1, should, 0.4}, {"injectors over air", 0, may, 0.9}, {"pump duty", 1, may, 0.9}, {"exhaust temperature", 0, may, 0.9},
		{"torque over air", 0, may, 0.6}, {"fuel flow over air", -1, may, 0.9}, {"fuel flow over injectors", -1, may, 0.9}, {"fuel trim", 1, may, 0.9}, {"knock level", 1, may, 0.5}, {"voltage", -1, may, 0.3},
	}},
	{MixtureLean, 0, []role{
		{"lambda", 1, must, 1}, {"exhaust temperature", 0, should, 0.9}, {"fuel flow over air", -1, may, 0.9}, {"fuel flow over injectors", -1, may, 0.9}, {"injectors over air", 0, may, 0.8},
		{"torque over air", 0, may, 0.7}, {"fuel trim", 1, may, 0.9}, {"knock level", 1, may, 0.5}, {"lambda apart", 0, may, 0.3}, {"exhaust apart", 0, may, 0.3},
	}},
	{MixtureImbalance, 0, []role{
		{"lambda apart", 0, must, 1}, {"exhaust apart", 0, must, 0.9}, {"lambda", 0, may, 0.9}, {"exhaust temperature", 0, may, 0.8}, {"fuel trim", 0, may, 0.7}, {"torque over air", -1, may, 0.4},
		{"knock level", 0, may, 0.4}, {"fuel flow over air", 0, may, 0.7}, {"fuel flow over injectors", 0, may, 0.7},
	}},
	{OilSupply, 0.2, []role{
		{"oil pressure", -1, must, 1}, {"oil pressure at idle", -1, must, 0.9}, {"oil heat", 1, may, 0.7},
	}},
	{CoolantPressure, 0, []role{
		{"coolant pressure", 0, must, 1}, {"coolant swell", 1, must, 0.95}, {"coolant heat", 0, may, 0.5}, {"crankcase pressure", 1, may, 0.2}, {"torque over air", -1, may, 0.2},
	}},
	{CrankcasePressure, 0, []role{
		{"crankcase pressure", 1, must, 1}, {"torque over air", -1, may, 0.6}, {"oil heat", 1, may, 0.3}, {"knock level", 1, may, 0.2},
	}},
	{Overheat, 0, []role{
		{"coolant heat", 1, must, 1}, {"coolant swell", 1, must, 1},
		// For its temperature the pressure stays, or lags: only gas from the cylinders raises it.
		{"coolant pressure", -1, may, 0.9}, {"oil heat", 1, may, 0.9}, {"charge heat", 1, may, 0.4}, {"oil pressure", -1, may, 0.4}, {"knock level", 1, may, 0.3},
	}},
	{ChargeHeat, 0, []role{
		{"charge heat", 1, must, 1}, {"cooler water heat", 1, may, 0.9}, {"ignition", -1, may, 0.6}, {"knock level", 1, may, 0.6}, {"torque over air", 0, may, 0.5}, {"exhaust temperature", 1, may, 0.5},
		{"injectors over air", 0, may, 0.6}, {"fuel flow over air", 0, may, 0.6}, {"turbo speed", 0, may, 0.5}, {"lambda", 0, may, 0.3},
		// Hot charge knocks, the computer retards, and the rest follows.
		{"knock bursts", 1, may, 0.9}, {"back-pressure", 0, may, 0.7}, {"boost rise", 0, may, 0.5}, {"boost course", 0, may, 0.5}, {"boost short of target", -1, may, 0.4}, {"compressor heat", 0, may, 0.6}, {"wastegate", 0, may, 0.5},
		{"cooler pressure loss", 0, may, 0.6}, {"oil heat", 0, may, 0.4}, {"coolant heat", 0, may, 0.4},
	}},
	{Knock, 0, []role{
		{"knock level", 1, must, 1}, {"knock bursts", 1, must, 1}, {"ignition", -1, must, 0.9}, {"torque over air", -1, may, 0.8}, {"exhaust temperature", 1, may, 0.8}, {"boost rise", 0, may, 0.4}, {"back-pressure", 0, may, 0.3},
		{"boost course", 0, may, 0.7},
	}},
	{Nitrous, -0.3, []role{
		{"bottle pressure", 0, must, 1}, {"nitrous", -1, must, 1}, {"nitrous mixture", 0, must, 0.8}, {"bottle use", 0, must, 1}, {"nitrous exhaust", 0, must, 0.9}, {"nitrous torque", -1, must, 0.9}, {"exhaust temperature", 0, may, 0.8}, {"ignition", 0, may, 0.5}, {"boost short of target", -1, may, 0.6}, {"knock level", 0, may, 0.4}, {"boost rise", -1, may, 0.8}, {"lambda", 0, may, 0.9}, {"torque over air", -1, may, 0.8}, {"fuel flow over air", 0, may, 0.7}, {"injectors over air", 0, may, 0.7},
		{"boost course", -1, may, 0.7},
	}},
	{Throttle, 0, []role{
		{"throttle", -1, must, 1}, {"idle speed", 1, must, 0.9}, {"idle vacuum", 1, may, 0.8}, {"torque over air", 0, may, 0.7}, {"boost short of target", -1, may, 0.9}, {"boost rise", 0, may, 0.8}, {"boost over target", 0, may, 0.9}, {"turbo speed", 0, may, 0.9}, {"back-pressure", 0, may, 0.9},
		// The compressor works against it, at a higher pressure than the manifold's.
		{"compressor heat", 1, may, 0.8}, {"charge heat", 1, may, 0.8}, {"oil heat", 0, may, 0.5}, {"coolant heat", 0, may, 0.5},
		{"wastegate", 0, may, 0.8}, {"cooler pressure loss", 1, may, 1}, {"ignition", 0, may, 0.5}, {"lambda", 0, may, 0.5}, {"exhaust temperature", 0, may, 0.5}, {"injectors over air", 0, may, 0.5}, {"fuel flow over air", 0, may, 0.5},
		{"boost course", -1, may, 0.7},
	}},
	{ClutchSlip, 0, []role{
		{"engine over wheels", 1, must, 1}, {"engine over road", 1, must, 1}, {"torque over air", -1, may, 0.9}, {"gearbox heat", 1, may, 0.3}, {"driven pair", 0, may, 0.3},
		{"boost course", 0, may, 0.8}, {"boost over target", 0, may, 0.7}, {"boost rise", 0, may, 0.6}, {"turbo speed", 0, may, 0.4}, {"back-pressure", 0, may, 0.4}, {"ignition", 0, may, 0.4}, {"charge heat", 0, may, 0.4},
	}},
	{Driveline, -0.3, []role{
		{"torque over air", -1, must, 1}, {"engine over wheels", 0, may, 0.6}, {"driven pair", 0, must, 0.9}, {"gearbox heat", 1, must, 0.9}, {"tyre slip", 0, may, 0.5},
		{"engine over road", 0, may, 0.5},
		{"boost course", 0, may, 0.6},
	}},
	{Tyre, 0, []role{
		{"tyre pressure", -1, must, 1}, {"rolling radius", 1, must, 1}, {"driven pair", 0, must, 1}, {"undriven pair", 0, must, 0.8}, {"tyre slip", 1, must, 1}, {"engine over road", 1, should, 0.9}, {"engine over wheels", 0, may, 0.8}, {"wheel ", 0, may, 0.7}, {"torque over air", 0, may, 0.4},
	}},
	{Electrical, 0, []role{
		{"voltage", 0, must, 1}, {"idle voltage", 0, must, 1}, {"idle speed", 0, may, 0.5}, {"fuel over manifold", -1, may, 0.9}, {"lambda", 0, may, 0.9}, {"pump duty", 0, may, 0.8}, {"torque over air", -1, may, 0.6}, {"injectors over air", 0, may, 0.7},
		{"fuel flow over air", -1, may, 0.9}, {"fuel flow over injectors", -1, may, 0.9}, {"exhaust temperature", 0, may, 0.8}, {"knock level", 0, may, 0.2}, {"fuel trim", 1, may, 0.9}, {"ignition", 0, may, 0.6}, {"boost course", 0, may, 0.4}, {"misfire", 1, may, 0.6},
	}},
}

// sensorSigns tells how a channel that reads too high moves the watches that use
// it: the partial derivative's sign. What else the engine does stays as it was.
var sensorSigns = map[string][]role{
	"manifold_pressure": {
		{"fuel over manifold", -1, must, 1}, {"injectors over air", -1, must, 1}, {"fuel flow over air", -1, must, 1}, {"turbo speed", -1, must, 1}, {"back-pressure", -1, must, 1},
		{"boost over target", 1, must, 1}, {"boost short of target", 1, must, 1}, {"boost course", 1, must, 1}, {"torque over air", -1, must, 1}, {"charge heat", -1, may, 0.7}, {"crankcase pressure", -1, may, 0.7},
		{"cooler pressure loss", -1, must, 1}, {"wastegate", 0, may, 0.8}, {"ignition", 0, may, 0.8}, {"boost rise", 0, may, 0.8}, {"knock level", -1, may, 0.5}, {"compressor heat", -1, may, 0.7},
	},
	"fuel_pressure":       {{"fuel over manifold", 1, must, 1}, {"injectors over air", 1, may, 1}, {"fuel flow over injectors", -1, may, 1}},
	"injector_duty":       {{"injectors over air", 1, must, 1}, {"fuel flow over injectors", -1, must, 1}},
	"fuel_flow":           {{"fuel flow over air", 1, must, 1}, {"fuel flow over injectors", 1, must, 1}},
	"pump_duty":           {{"pump duty", 1, must, 1}},
	"lambda":              {{"lambda apart", 0, must, 1}, {"lambda", 0, must, 1}, {"fuel trim", 0, may, 0.3}},
	"exhaust_temperature": {{"exhaust apart", 0, must, 1}, {"exhaust temperature", 0, must, 1}},
	"turbo_speed":         {{"turbo speed", 1, must, 1}, {"back-pressure", 0, may, 0.3}},
	"exhaust_pressure":    {{"back-pressure", 1, must, 1}},
	"wastegate_duty":      {{"wastegate", 1, must, 1}},
	"oil_pressure":        {{"oil pressure", 1, must, 1}, {"oil pressure at idle", 1, should, 1}},
	"oil_temperature":     {{"oil heat", 1, must, 1}, {"oil pressure", 1, may, 0.5}, {"oil pressure at idle", 1, may, 0.5}},
	"coolant_pressure":    {{"coolant pressure", 1, must, 1}, {"coolant swell", 1, must, 1}},
	"coolant_temperature": {{"coolant heat", 1, must, 1}, {"coolant pressure", -1, may, 1}},
	"crankcase_pressure":  {{"crankcase pressure", 1, must, 1}},
	"charge_temperature":  {{"charge heat", 1, must, 1}, {"injectors over air", 1, may, 1}, {"fuel flow over air", 1, may, 1}, {"torque over air", 1, may, 1}, {"turbo speed", 0, may, 0.5}, {"ignition", 0, may, 0.3}},
	"knock":               {{"knock level", 1, must, 1}, {"knock bursts", 1, may, 1}},
	"ignition_angle":      {{"ignition", 1, must, 1}},
	"throttle":            {{"throttle", 1, must, 1}},
	"battery_voltage":     {{"voltage", 1, must, 1}},
	"bottle_pressure":     {{"bottle pressure", 1, must, 1}, {"bottle use", 0, may, 0.7}},
	"engine_speed": {
		{"engine over wheels", 1, must, 1}, {"engine over road", 1, must, 1}, {"injectors over air", -1, may, 1}, {"fuel flow over air", -1, may, 1}, {"oil pressure", -1, may, 0.7},
		{"coolant pressure", 0, may, 0.5}, {"crankcase pressure", 0, may, 0.5}, {"torque over air", 0, may, 0.7}, {"turbo speed", 0, may, 0.7}, {"back-pressure", 0, may, 0.7}, {"ignition", 0, may, 0.7},
		{"boost over target", 0, may, 0.3}, {"boost course", 0, may, 0.3}, {"wastegate", 0, may, 0.5}, {"knock level", 0, may, 0.5}, {"lambda", 0, may, 0.3}, {"inlet depression", 0, may, 0.7}, {"cooler pressure loss", 0, may, 0.7},
	},
	"wheel_speed":                   {{"driven pair", 0, must, 1}, {"undriven pair", 0, must, 1}, {"engine over wheels", 0, must, 1}, {"tyre slip", 0, must, 1}, {"rolling radius", 0, must, 1}, {"wheel ", 0, must, 1}},
	"tyre_pressure":                 {{"tyre pressure", 1, must, 1}},
	"compressor_inlet_pressure":     {{"inlet depression", -1, must, 1}},
	"compressor_outlet_pressure":    {{"cooler pressure loss", 1, must, 1}},
	"compressor_outlet_temperature": {{"compressor heat", 1, must, 1}},
	"gearbox_temperature":           {{"gearbox heat", 1, must, 1}},
	"cooler_water_temperature":      {{"cooler water heat", 1, must, 1}},
	"fuel_temperature":              {{"fuel heat", 1, must, 1}},
	"fuel_trim":                     {{"fuel trim", 1, must, 1}},
}

// named says whether a watch's id is the role's watch: equal, or equal but for a
// sensor number; a role that ends in a blank covers all that begin so.
func (r role) covers(id string) bool {
	if r.watch == id {
		return true
	}
	rest, ok := strings.CutPrefix(id, r.watch)
	if !ok {
		return false
	}
	if strings.HasSuffix(r.watch, " ") {
		return true
	}
	rest, ok = strings.CutPrefix(rest, " ")
	return ok && rest != "" && rest[0] >= '0' && rest[0] <= '9'
}
