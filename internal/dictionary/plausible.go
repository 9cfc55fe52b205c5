package dictionary

import (
	"math"

	"traplight/internal/quantity"
)

// span is where readings of a quantity usually lie, SI.
type span struct {
	low, high       float64 // where the smallest readings (1 % quantile) lie
	topLow, topHigh float64 // where the largest readings (99 % quantile) lie
	slack           float64 // how far outside halves the belief, SI; 0: a fifth of the span
}

const (
	kPa  = 1000.0
	degC = 273.15
	rpm  = math.Pi / 30
	deg  = math.Pi / 180
)

// usual holds common practice (no source) for very powerful turbocharged cars,
// wide enough for road cars too. Pressures: absolute where the quantity is kept
// absolute, else over the barometer.
var usual = map[quantity.Name]span{
	quantity.EngineSpeed:                 {0, 350, 180, 1400, 40},
	quantity.Throttle:                    {-0.02, 0.3, 0.3, 1.05, 0.1},
	quantity.Pedal:                       {-0.02, 0.3, 0.3, 1.05, 0.1},
	quantity.ManifoldPressure:            {8 * kPa, 70 * kPa, 90 * kPa, 800 * kPa, 25 * kPa},
	quantity.ExhaustPressure:             {70 * kPa, 180 * kPa, 100 * kPa, 1300 * kPa, 30 * kPa},
	quantity.CompressorInletPressure:     {60 * kPa, 105 * kPa, 80 * kPa, 115 * kPa, 10 * kPa},
	quantity.CompressorOutletPressure:    {60 * kPa, 200 * kPa, 90 * kPa, 800 * kPa, 20 * kPa},
	quantity.BarometricPressure:          {60 * kPa, 106 * kPa, 60 * kPa, 108 * kPa, 3 * kPa},
	quantity.FuelPressure:                {-10 * kPa, 900 * kPa, 150 * kPa, 40e3 * kPa, 50 * kPa},
	quantity.OilPressure:                 {-20 * kPa, 500 * kPa, 200 * kPa, 1200 * kPa, 60 * kPa},
	quantity.CoolantPressure:             {-60 * kPa, 150 * kPa, 20 * kPa, 320 * kPa, 25 * kPa},
	quantity.CrankcasePressure:           {-80 * kPa, 10 * kPa, -60 * kPa, 120 * kPa, 20 * kPa},
	quantity.BottlePressure:              {0, 8e6, 1e6, 12e6, 1e6},
	quantity.BrakePressure:               {-200 * kPa, 1000 * kPa, 0, 20e6, 500 * kPa},
	quantity.BoostTarget:                 {-100 * kPa, 300 * kPa, 0, 700 * kPa, 30 * kPa},
	quantity.LambdaTarget:                {0.5, 1.1, 0.7, 2, 0.1},
	quantity.IntakeTemperature:           {240, 340, 255, 450, 15},
	quantity.CompressorOutletTemperature: {240, 380, 270, 600, 20},
	quantity.ChargeTemperature:           {240, 350, 255, 430, 15},
	quantity.CoolerWaterTemperature:      {265, 340, 268, 380, 10},
	quantity.CoolantTemperature:          {250, 375, 270, 420, 15},
	quantity.OilTemperature:              {250, 400, 270, 450, 15},
	quantity.GearboxTemperature:          {250, 400, 270, 450, 15},
	quantity.FuelTemperature:             {250, 340, 260, 370, 15},
	quantity.ExhaustTemperature:          {280, 1150, 420, 1500, 60},
	quantity.AmbientTemperature:          {230, 320, 250, 335, 10},
	quantity.Humidity:                    {0, 1, 0.05, 1.01, 0.03},
	quantity.Lambda:                      {0.45, 1.2, 0.7, 9, 0.1},
	quantity.InjectorDuty:                {-0.01, 0.4, 0.02, 1.3, 0.1},
	quantity.PumpDuty:                    {0, 1, 0.05, 1.01, 0.05},
	quantity.FuelTrim:                    {-0.5, 0.2, -0.1, 0.5, 0.1},
	quantity.FuelFlow:                    {-0.002, 0.02, 0.0005, 0.6, 0.003},
	quantity.FuelVolumeFlow:              {-3e-6, 3e-5, 5e-7, 1e-3, 4e-6},
	quantity.AirFlow:                     {-0.005, 0.1, 0.005, 2.5, 0.02},
	quantity.FuelLevel:                   {0, 1, 0.01, 1.05, 0.05},
	quantity.EthanolFraction:             {-0.01, 1, 0, 1.01, 0.03},
	quantity.IgnitionAngle:               {-40 * deg, 30 * deg, 0, 65 * deg, 10 * deg},
	quantity.TorqueCut:                   {-0.01, 0.3, 0, 1.01, 0.05},
	quantity.LaunchControl:               {0, 1, 0, 1.01, 0.2},
	quantity.TurboSpeed:                  {0, 9000, 1000, 32000, 1500},
	quantity.WheelSpeedFL:                {-1, 30, 3, 140, 10},
	quantity.WheelSpeedFR:                {-1, 30, 3, 140, 10},
	quantity.WheelSpeedRL:                {-1, 30, 3, 140, 10},
	quantity.WheelSpeedRR:                {-1, 30, 3, 140, 10},
	quantity.DrivenSpeed:                 {-1, 30, 3, 140, 10},
	quantity.VehicleSpeed:                {-1, 30, 3, 140, 10},
	quantity.GPSSpeed:                    {-0.1, 30, 1, 140, 10},
	quantity.Latitude:                    {-90 * deg, 90 * deg, -90 * deg, 90 * deg, 1 * deg},
	quantity.Longitude:                   {-180 * deg, 180 * deg, -180 * deg, 180 * deg, 1 * deg},
	quantity.Altitude:                    {-450, 4500, -450, 4600, 200},
	quantity.AccelerationLong:            {-25, -0.3, 0.5, 30, 2},
	quantity.AccelerationLat:             {-20, 1.5, -1.5, 20, 2},
	quantity.YawRate:                     {-3, 0.1, -0.1, 3, 0.5},
	quantity.SteeringAngle:               {-12, 1, -1, 12, 1},
	quantity.Gear:                        {-1, 3, 0, 12, 1},
	quantity.Clutch:                      {-0.02, 1, 0, 1.05, 0.1},
	quantity.Brake:                       {-0.02, 1, 0, 1.05, 0.1},
	quantity.Nitrous:                     {-0.01, 1, 0, 1.01, 0.1},
	quantity.WastegateDuty:               {-0.02, 1, 0, 1.05, 0.1},
	quantity.TyreTemperature:             {250, 380, 265, 470, 15},
	quantity.TyrePressure:                {20 * kPa, 500 * kPa, 30 * kPa, 600 * kPa, 30 * kPa},
	quantity.BatteryVoltage:              {5, 15, 9, 20, 1},
	quantity.RideHeight:                  {-0.4, 0.4, -0.3, 0.6, 0.1},
	quantity.ShaftTorque:                 {-5000, 500, 20, 12000, 1000},
	quantity.Heading:                     {0, 360 * deg, 0, 360.1 * deg, 5 * deg},
}

// minSpan is how far readings of a quantity at least move in a log with a pass,
// SI (common practice, no source).
var minSpan = map[quantity.Name]float64{
	quantity.EngineSpeed: 150, quantity.Throttle: 0.3, quantity.Pedal: 0.3, quantity.ManifoldPressure: 40 * kPa, quantity.ExhaustPressure: 25 * kPa,
	quantity.CompressorOutletPressure: 20 * kPa, quantity.OilPressure: 60 * kPa, quantity.FuelPressure: 15 * kPa, quantity.CoolantPressure: 8 * kPa,
	quantity.CrankcasePressure: 0.8 * kPa, quantity.ExhaustTemperature: 60, quantity.InjectorDuty: 0.08, quantity.FuelFlow: 0.002, quantity.FuelVolumeFlow: 2e-6,
	quantity.AirFlow: 0.01, quantity.TurboSpeed: 800, quantity.IgnitionAngle: 5 * deg, quantity.WastegateDuty: 0.05, quantity.Clutch: 0.3, quantity.Brake: 0.05,
	quantity.Lambda: 0.02, quantity.AccelerationLong: 1, quantity.AccelerationLat: 0.3,
	quantity.WheelSpeedFL: 3, quantity.WheelSpeedFR: 3, quantity.WheelSpeedRL: 3, quantity.WheelSpeedRR: 3, quantity.VehicleSpeed: 3, quantity.GPSSpeed: 2, quantity.DrivenSpeed: 3,
}

// plausible says how well readings fit a quantity, 0.02–1, once low and high
// (their 1 % and 99 % quantiles) are in its SI unit.
func plausible(q quantity.Name, low, high float64) float64 {
	u, ok := usual[q]
	if !ok {
		return 0.98
	}
	slack := u.slack
	if slack == 0 {
		slack = (u.topHigh - u.low) / 5
	}
	if neverNegative(q) && low < -0.02*math.Abs(high) {
		return 0.02
	}
	wide := 1.0
	if least := minSpan[q]; high-low < least {
		wide = math.Max(0.15, (high-low)/least)
	}
	p := wide * inside(low, u.low, u.high, slack) * inside(high, u.topLow, u.topHigh, slack)
	return max(0.02, p)
}

// likelyTop is where the largest readings lie in a pass of a car that has nothing the matter,
// SI, gauge where the quantity is a gauge pressure (common practice, no source). It weighs
// units where the file tells none, and never gives one that is told the lie.
var likelyTop = map[quantity.Name][2]float64{
	quantity.ExhaustTemperature: {870, 1400},
	quantity.CoolantTemperature: {325, 395},
	quantity.OilTemperature:     {320, 420},
	quantity.IntakeTemperature:  {275, 400},
	quantity.ChargeTemperature:  {275, 400},
	quantity.CoolantPressure:    {30 * kPa, 230 * kPa},
	quantity.CrankcasePressure:  {-30 * kPa, 12 * kPa},
	quantity.OilPressure:        {250 * kPa, 900 * kPa},
	quantity.FuelPressure:       {250 * kPa, 35e3 * kPa},
	quantity.ManifoldPressure:   {130 * kPa, 600 * kPa},
	quantity.ExhaustPressure:    {130 * kPa, 1000 * kPa},
}

// lossUnlikely is what a unit loses, as a factor, in which the largest readings lie outside
// likelyTop, or in which a control never moves by more than one in a hundred.
const lossUnlikely = 0.3

// Turbine inlet over manifold pressure, both at their largest, in a pass (common practice,
// no source).
const leastBack, mostBack = 0.75, 3.5

// idleVacuum is the manifold pressure, Pa absolute, that a throttled engine falls below.
const idleVacuum = 85 * kPa

// likely weighs a unit that nobody told, once low and high (the 1 % and 99 % quantiles) are
// in its SI unit; manifold is the largest manifold pressure, Pa absolute, 0 unknown.
func likely(q quantity.Name, low, high, manifold float64) float64 {
	if q == quantity.ManifoldPressure && low > idleVacuum ||
		q == quantity.ExhaustPressure && manifold > 0 && (high < leastBack*manifold || high > mostBack*manifold) {
		return lossUnlikely
	}
	if r, ok := likelyTop[q]; ok && (high < r[0] || high > r[1]) {
		return lossUnlikely
	}
	switch q {
	case quantity.Throttle, quantity.Pedal, quantity.InjectorDuty, quantity.Brake, quantity.Clutch, quantity.WastegateDuty:
		if high <= 0.0105 {
			return lossUnlikely / 3
		}
	}
	return 1
}

// inside is 1 within [a, b] and halves with every slack outside.
func inside(x, a, b, slack float64) float64 {
	out := max(a-x, x-b, 0)
	return math.Exp2(-out / slack)
}

// neverNegative lists quantities that cannot fall below zero by more than noise.
func neverNegative(q quantity.Name) bool {
	switch q {
	case quantity.EngineSpeed, quantity.TurboSpeed, quantity.BatteryVoltage, quantity.Lambda, quantity.LambdaTarget, quantity.FuelLevel:
		return true
	}
	return isSpeed(q)
}
