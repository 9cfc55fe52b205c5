package demo

// effect is how far each thing is from healthy now; zero is healthy.
type effect struct {
	cylLoss   float64 // share of indicated torque lost in one cylinder
	misfire   float64 // share of ignitions lost at 150 kPa of boost
	hole      float64 // m² behind the compressor
	gateLeak  float64 // lift below which the gate does not close
	gateStick float64 // share of lift that cannot be reached
	inlet     float64 // share added to the inlet's loss
	choke     float64 // share of turbine area lost
	pump      float64 // share of pump flow lost
	lean      float64 // share of fuel lost everywhere
	leanBank  float64 // share of fuel lost in the first bank or injector group
	oil       float64 // share of oil pressure lost
	oilSurge  float64 // share more per g of acceleration
	headGas   float64 // Pa of coolant pressure per Pa of boost
	blowby    float64 // share added to blow-by
	radiator  float64 // share of cooling lost
	cooler    float64 // share of charge cooling lost
	octane    float64 // degrees of knock margin lost
	n2o       float64 // share of nitrous flow lost
	throttle  float64 // share of opening lost
	clutch    float64 // share of clutch torque lost
	drag      float64 // share of hub torque lost in a bearing or joint
	tyre      float64 // share of pressure lost in a driven tyre
	volts     float64 // V lost
	// What shows at rest most, see Resting.
	holeManifold float64 // m² behind the throttle
	wornBearing  float64 // share by which the oil runs off faster
	gasStays     float64 // Pa a second into the coolant per Pa of boost
	slackBelt    float64 // V lost at idle, less at speed
}

// faultStep sets the effects for the present moment.
func (s *sim) faultStep() {
	f := s.fault
	if f == nil || f.Kind == SensorFault {
		return
	}
	t0 := s.drv.tRelease + f.After
	if !s.drv.released || s.t < t0 {
		if !f.Always {
			s.fx = effect{}
			return
		}
		t0 = -1
	}
	r := 1.0
	if f.Ramp > 0 && !f.Always {
		r = clamp((s.t-t0)/f.Ramp, 0, 1)
	}
	v := f.Severity * r
	x := &s.fx
	if f.resting(x, v) {
		return
	}
	switch f.Kind {
	case CylinderDown:
		x.cylLoss = v / float64(s.cyl)
	case IgnitionFault:
		x.misfire = v
	case BoostLeak:
		x.hole = v
	case Underboost:
		x.gateLeak = v
	case Overboost:
		x.gateStick = v
	case TurboOverspeed:
		x.inlet = v
	case TurbineChoke:
		x.choke = v
	case FuelSupply:
		x.pump = v
	case MixtureLean:
		x.lean = v
	case MixtureImbalance:
		x.leanBank = v
	case OilSupply:
		x.oil = v
		x.oilSurge = 0.25 * v
	case CoolantPressure:
		x.headGas = v
	case CrankcasePressure:
		x.blowby = v
	case Overheat:
		x.radiator = v
	case ChargeHeat:
		x.cooler = v
	case KnockFault:
		x.octane = v
	case NitrousFault:
		x.n2o = v
	case ThrottleFault:
		x.throttle = v
	case ClutchSlip:
		x.clutch = v
	case DrivelineFault:
		x.drag = v
	case TyreFault:
		x.tyre = v
	case ElectricalFault:
		x.volts = v
	}
}
