package dictionary

import "traplight/internal/quantity"

// rule says which ideas a name must carry to be called a quantity.
type rule struct {
	q    quantity.Name
	need [][]feature // one of each group must be there
	with []feature   // explained when there
	deny []feature   // must not be there
	base float64     // 0–1, how sure a name is that carries just that
}

type all = [][]feature

func one(fs ...feature) []feature { return fs }

// places are ideas that tell where a sensor sits; they never speak against a
// quantity that may have several.
var places = setOf(fFront, fRear, fLeft, fRight, fBank, fCylinder, fBefore, fAfter)

// fillers never speak for or against.
var fillers = setOf(fFiller, fSensor, fActual, fMean, fBank, fCylinder)

// notReading are ideas that make a name something else than a reading of the
// quantity: a target, an error, a limit, a rate of change.
var notReading = setOf(fTarget, fError, fLimit, fCorrection, fCounter, fTrim, fRaw, fRate)

var plainRules = []rule{
	{quantity.EngineSpeed, all{one(fRotation)}, []feature{fEngine, fSpeed, fCounter}, []feature{fTurbo, fTurbine, fCompressor, fWheel, fShaft, fPump, fCam, fGearbox, fCut, fLaunch, fVehicle, fFuel, fDriven, fClutch, fGear, fWind}, 0.97},
	{quantity.EngineSpeed, all{one(fEngine), one(fSpeed)}, nil, []feature{fTurbo, fVehicle, fWheel}, 0.95},

	{quantity.Throttle, all{one(fThrottle)}, []feature{fPosition, fAngle, fDuty, fGauge, fAbsolute, fValve, fEngine, fIntake}, []feature{fPressure, fTemperature, fPedal, fCharge, fVoltage}, 0.96},
	{quantity.Throttle, all{one(fPosition), one(fValve, fEngine)}, nil, []feature{fWastegate, fBoost, fPedal, fIntake, fExhaust}, 0.3},
	{quantity.Pedal, all{one(fPedal)}, []feature{fPosition, fThrottle, fAccel, fFuel, fGauge, fAbsolute, fAngle, fEngine, fDriven}, []feature{fBrake, fClutch, fPressure, fVoltage}, 0.95},

	{quantity.ManifoldPressure, all{one(fManifold), one(fPressure)}, []feature{fIntake, fAbsolute, fAir, fBoost, fEngine, fCharge, fGauge, fFuel}, []feature{fExhaust, fTarget, fTurbine, fRail}, 0.97},
	{quantity.ManifoldPressure, all{one(fBoost)}, []feature{fPressure, fGauge, fAbsolute, fManifold, fTurbo, fAir, fCharge, fIntake, fCompressor}, []feature{fTarget, fValve, fDuty, fTemperature, fSpeed, fRotation, fExhaust, fWastegate, fPosition}, 0.93},
	{quantity.ManifoldPressure, all{one(fIntake), one(fPressure)}, []feature{fAir, fAbsolute, fEngine, fGauge}, []feature{fExhaust, fTarget, fCompressor, fTurbo, fTurbine, fFuel, fOil, fCoolant, fWater}, 0.88},
	{quantity.ManifoldPressure, all{one(fCharge), one(fPressure)}, []feature{fAir, fAbsolute, fTurbo, fGauge}, []feature{fExhaust, fTarget, fFuel}, 0.85},
	{quantity.ManifoldPressure, all{one(fTurbo), one(fPressure)}, []feature{fAir, fGauge, fAbsolute}, []feature{fExhaust, fTurbine, fTarget, fBefore, fAfter, fIntake, fOil, fSpeed}, 0.75},
	{quantity.CompressorOutletPressure, all{one(fCompressor, fTurbo), one(fAfter), one(fPressure)}, []feature{fAir, fCharge, fBoost, fAbsolute}, []feature{fExhaust, fTurbine, fTarget}, 0.93},
	{quantity.CompressorOutletPressure, all{one(fThrottle, fCooler), one(fPressure)}, []feature{fBefore, fAfter, fAir, fCharge, fIntake, fBoost}, []feature{fExhaust, fTarget, fWater, fCoolant}, 0.85},
	{quantity.CompressorInletPressure, all{one(fCompressor, fTurbo), one(fBefore, fIntake), one(fPressure)}, []feature{fAir, fAbsolute}, []feature{fExhaust, fTurbine, fTarget}, 0.92},
	{quantity.ExhaustPressure, all{one(fExhaust, fTurbine), one(fPressure)}, []feature{fManifold, fBefore, fIntake, fTurbo, fTurbine, fExhaust, fAbsolute, fGauge, fLeft, fRight, fAir}, []feature{fTarget, fAfter, fOil}, 0.96},
	{quantity.BarometricPressure, all{one(fBaro)}, []feature{fPressure, fAir, fAbsolute, fAmbient}, []feature{fTemperature}, 0.97},
	{quantity.BarometricPressure, all{one(fAmbient), one(fPressure)}, []feature{fAir, fAbsolute}, nil, 0.95},
	{quantity.BarometricPressure, all{one(fAir), one(fPressure)}, []feature{fAbsolute}, []feature{fTyre, fManifold, fIntake, fCharge, fBoost}, 0.75},
	{quantity.ManifoldPressure, all{one(fAir), one(fPressure)}, []feature{fAbsolute, fEngine}, []feature{fTyre, fBaro, fAmbient}, 0.5},

	{quantity.FuelPressure, all{one(fFuel, fRail), one(fPressure)}, []feature{fRail, fFuel, fPump, fInjector, fGauge, fAbsolute, fManifold}, []feature{fTarget, fOil}, 0.96},
	{quantity.OilPressure, all{one(fOil), one(fPressure)}, []feature{fEngine, fGauge, fAbsolute}, []feature{fGearbox, fTurbo, fTarget}, 0.97},
	{quantity.CoolantPressure, all{one(fCoolant, fWater), one(fPressure)}, []feature{fEngine, fCoolant, fWater, fGauge}, []feature{fCooler, fInjector}, 0.96},
	{quantity.CrankcasePressure, all{one(fCrankcase)}, []feature{fPressure, fGauge, fEngine, fOil}, []feature{fTemperature}, 0.95},
	{quantity.BottlePressure, all{one(fBottle, fNitrous), one(fPressure)}, []feature{fNitrous, fBottle, fGauge}, nil, 0.95},
	{quantity.BrakePressure, all{one(fBrake), one(fPressure)}, []feature{fFront, fRear, fPedal, fOil}, nil, 0.95},
	{quantity.BoostTarget, all{one(fBoost), one(fTarget)}, []feature{fPressure, fGauge, fAbsolute, fManifold, fTurbo}, []feature{fDuty}, 0.94},
	{quantity.BoostTarget, all{one(fManifold, fCharge, fTurbo), one(fPressure), one(fTarget)}, []feature{fAbsolute, fGauge, fAir, fIntake}, nil, 0.9},
	{quantity.LambdaTarget, all{one(fLambda, fAFR), one(fTarget)}, []feature{fAFR, fLambda, fRatio, fFuel, fAir}, nil, 0.94},

	{quantity.IntakeTemperature, all{one(fIntake, fManifold), one(fTemperature)}, []feature{fAir, fManifold, fIntake, fEngine}, []feature{fExhaust, fTurbine, fCompressor, fTurbo, fOil, fCoolant, fWater, fFuel}, 0.96},
	{quantity.IntakeTemperature, all{one(fAir), one(fTemperature)}, []feature{fEngine, fMass, fFlow}, []feature{fAmbient, fExhaust, fCharge, fCooler, fCompressor, fTurbo, fTyre}, 0.82},
	{quantity.ChargeTemperature, all{one(fCharge), one(fTemperature)}, []feature{fAir, fCooler, fAfter, fIntake, fManifold}, []feature{fExhaust, fBefore}, 0.93},
	{quantity.ChargeTemperature, all{one(fCooler), one(fAfter), one(fTemperature)}, []feature{fAir, fCharge}, []feature{fWater, fCoolant, fExhaust}, 0.92},
	{quantity.ChargeTemperature, all{one(fBoost), one(fTemperature)}, []feature{fAir}, []feature{fExhaust}, 0.8},
	{quantity.CompressorOutletTemperature, all{one(fCompressor), one(fTemperature)}, []feature{fAfter, fAir, fCharge, fTurbo}, []feature{fExhaust, fTurbine, fBefore, fIntake, fOil}, 0.92},
	{quantity.CompressorOutletTemperature, all{one(fTurbo), one(fAfter), one(fTemperature)}, []feature{fAir, fCharge}, []feature{fExhaust, fTurbine, fOil}, 0.88},
	{quantity.CompressorOutletTemperature, all{one(fCooler), one(fBefore), one(fTemperature)}, []feature{fAir, fCharge}, []feature{fWater, fCoolant}, 0.88},
	{quantity.CoolerWaterTemperature, all{one(fCooler), one(fWater, fCoolant), one(fTemperature)}, []feature{fCharge, fAir, fWater, fCoolant, fIntake}, nil, 0.93},
	{quantity.CoolantTemperature, all{one(fCoolant, fWater), one(fTemperature)}, []feature{fEngine, fCoolant, fWater, fAfter, fBefore}, []feature{fCooler, fOil, fExhaust}, 0.97},
	{quantity.CoolantTemperature, all{one(fEngine), one(fTemperature)}, nil, []feature{fOil, fExhaust, fAir, fIntake}, 0.75},
	{quantity.OilTemperature, all{one(fOil), one(fTemperature)}, []feature{fEngine}, []feature{fGearbox, fGear, fTurbo}, 0.97},
	{quantity.GearboxTemperature, all{one(fGearbox, fGear), one(fTemperature)}, []feature{fOil, fGear}, nil, 0.94},
	{quantity.FuelTemperature, all{one(fFuel), one(fTemperature)}, []feature{fRail}, []feature{fExhaust}, 0.95},
	{quantity.ExhaustTemperature, all{one(fExhaust, fTurbine), one(fTemperature)}, []feature{fManifold, fBefore, fIntake, fTurbo, fTurbine, fExhaust, fLeft, fRight, fAir, fFront, fRear}, []feature{fCatalyst, fEGR}, 0.96},
	{quantity.ExhaustTemperature, all{one(fCylinder), one(fTemperature)}, nil, []feature{fCatalyst}, 0.5},
	{quantity.AmbientTemperature, all{one(fAmbient), one(fTemperature)}, []feature{fAir}, nil, 0.95},
	{quantity.Humidity, all{one(fHumidity)}, []feature{fAir, fAmbient, fGauge}, nil, 0.93},

	{quantity.Lambda, all{one(fLambda)}, []feature{fAFR, fSensor, fRatio, fExhaust, fLeft, fRight, fFront, fRear, fAir, fFuel}, []feature{fVoltage, fTemperature, fCurrent, fDuty}, 0.95},
	{quantity.Lambda, all{one(fAFR)}, []feature{fLambda, fSensor, fRatio, fExhaust, fLeft, fRight, fFront, fRear}, []feature{fVoltage, fTemperature, fCurrent, fDuty}, 0.95},
	{quantity.InjectorDuty, all{one(fInjector), one(fDuty)}, []feature{fFuel, fValve, fRatio, fPosition}, nil, 0.97},
	{quantity.InjectorDuty, all{one(fInjector), one(fRate, fLoad, fRatio)}, []feature{fFuel, fValve}, []feature{fTime, fAngle}, 0.85},
	{quantity.InjectorDuty, all{one(fInjector)}, []feature{fFuel, fValve}, []feature{fTime, fAngle, fPressure, fTemperature, fVoltage, fVolume, fMass, fFlow}, 0.55},
	{quantity.InjectorDuty, all{one(fInjector), one(fPosition)}, []feature{fFuel, fValve, fDuty, fRatio}, []feature{fTime, fAngle, fPressure}, 0.85},
	{quantity.PumpDuty, all{one(fPump), one(fDuty)}, []feature{fFuel}, []feature{fWater, fOil}, 0.93},
	{quantity.PumpDuty, all{one(fFuel), one(fPump)}, []feature{fLoad}, []feature{fPressure, fTemperature, fVoltage, fCurrent, fSpeed}, 0.7},
	{quantity.FuelTrim, all{one(fTrim)}, []feature{fFuel, fLambda, fAFR}, nil, 0.9},
	{quantity.FuelTrim, all{one(fLambda, fFuel, fAFR, fInjector), one(fCorrection)}, []feature{fAFR, fLambda, fFuel}, []feature{fPressure, fTemperature}, 0.8},
	{quantity.FuelFlow, all{one(fFuel), one(fFlow, fConsumption, fRate)}, []feature{fMass, fVolume, fEngine, fFlow, fConsumption, fRate}, []feature{fPressure, fDistance}, 0.94},
	{quantity.FuelFlow, all{one(fConsumption)}, []feature{fRate, fMass, fVolume}, []feature{fOil, fAir, fPower, fDistance, fVoltage}, 0.55},
	{quantity.AirFlow, all{one(fAir), one(fFlow, fMass)}, []feature{fMass, fIntake, fRate, fEngine, fVolume, fFlow}, []feature{fTemperature, fPressure, fVoltage, fFuel}, 0.93},
	{quantity.AirFlow, all{one(fIntake), one(fFlow)}, []feature{fMass, fRate, fEngine, fVolume}, []feature{fTemperature, fPressure, fVoltage, fFuel, fWater, fOil}, 0.85},
	{quantity.AirFlow, all{one(fFlow)}, []feature{fMass, fVolume, fEngine, fRate}, []feature{fTemperature, fPressure, fVoltage, fFuel, fWater, fOil, fCoolant, fExhaust, fNitrous, fPump, fStatus}, 0.42},
	{quantity.FuelLevel, all{one(fFuel), one(fLevel)}, []feature{fVolume}, []feature{fPressure}, 0.93},
	{quantity.EthanolFraction, all{one(fEthanol)}, []feature{fFuel, fLevel, fRatio, fVolume, fDuty}, []feature{fTemperature, fPressure}, 0.93},
	{quantity.IgnitionAngle, all{one(fIgnition), one(fAngle, fAdvance)}, []feature{fAngle, fAdvance, fEngine}, []feature{fCut, fVoltage, fKnock, fCam}, 0.97},
	{quantity.IgnitionAngle, all{one(fIgnition)}, []feature{fCylinder}, []feature{fCut, fVoltage, fKnock, fTime, fStatus, fCam}, 0.8},
	{quantity.IgnitionAngle, all{one(fAdvance)}, []feature{fAngle}, []feature{fCut, fVoltage, fKnock, fCam}, 0.85},
	{quantity.TorqueCut, all{one(fTorque, fIgnition, fFuel, fPower, fEngine, fTraction, fSlip, fInjector, fGear), one(fCut)}, []feature{fTraction, fDuty, fStatus, fLevel}, []feature{fRotation}, 0.88},
	{quantity.TorqueCut, all{one(fTraction)}, []feature{fStatus, fDuty, fTorque, fCut, fLevel}, []feature{fSpeed, fRatio, fSlip}, 0.5},
	{quantity.TorqueCut, all{one(fCut)}, []feature{fStatus, fDuty, fLevel}, []feature{fRotation}, 0.6},
	{quantity.LaunchControl, all{one(fLaunch)}, []feature{fStatus, fDuty}, []feature{fRotation, fSpeed, fTime}, 0.85},
	{quantity.Knock, all{one(fKnock)}, []feature{fSensor, fVoltage, fLevel, fFront, fRear, fLeft, fRight, fEngine}, []feature{fAngle, fIgnition, fCorrection, fAdvance}, 0.94},
	{quantity.TurboSpeed, all{one(fTurbo, fTurbine, fCompressor), one(fSpeed, fRotation)}, []feature{fShaft, fTurbine, fCompressor, fTurbo, fSpeed, fRotation, fLeft, fRight}, nil, 0.96},

	{quantity.DrivenSpeed, all{one(fDriven), one(fSpeed, fWheel)}, []feature{fWheel, fSpeed, fVehicle}, []feature{fShaft, fRotation}, 0.85},
	// A sensor on the shaft between gearbox and final drive; its turns are settled in teeth.go.
	{quantity.DrivenSpeed, all{one(fShaft), one(fRotation, fSpeed)}, []feature{fDriven, fWheel, fSpeed, fRotation, fVehicle}, []feature{fTurbo, fTurbine, fCompressor, fCam, fTorque, fEngine, fPump, fTemperature, fGearbox, fLeft, fRight}, 0.9},
	{quantity.VehicleSpeed, all{one(fVehicle), one(fSpeed)}, []feature{fWheel}, []feature{fRotation}, 0.95},
	{quantity.VehicleSpeed, all{one(fSpeed)}, nil, []feature{fRotation, fEngine, fTurbo, fTurbine, fCompressor, fPump, fShaft, fCam, fTime, fAccel, fAmbient, fStatus, fWind, fInjector, fGearbox}, 0.88},
	{quantity.VehicleSpeed, all{one(fWheel), one(fSpeed)}, nil, []feature{fSteering, fFront, fRear, fLeft, fRight}, 0.7},
	{quantity.GPSSpeed, all{one(fSatellite), one(fSpeed)}, []feature{fVehicle}, []feature{fVertical, fTime}, 0.97},
	{quantity.Latitude, all{one(fLatitude)}, []feature{fSatellite, fPosition}, []feature{fAccel, fSpeed}, 0.95},
	{quantity.Longitude, all{one(fLongitude)}, []feature{fSatellite, fPosition}, []feature{fAccel, fSpeed}, 0.95},
	{quantity.Altitude, all{one(fSatellite), one(fHeight)}, []feature{fAltitude}, []feature{fPressure, fSpeed}, 0.9},
	{quantity.Altitude, all{one(fAltitude)}, []feature{fSatellite, fHeight, fPosition, fLevel}, []feature{fPressure}, 0.9},
	{quantity.AccelerationLong, all{one(fAccel), one(fLong)}, []feature{fVehicle, fForce}, []feature{fPedal, fVertical}, 0.96},
	{quantity.AccelerationLat, all{one(fAccel), one(fLat)}, []feature{fVehicle, fForce}, []feature{fPedal, fVertical}, 0.96},
	{quantity.AccelerationLat, all{one(fAccel), one(fLeft, fRight)}, nil, []feature{fPedal, fVertical, fLong, fLat}, 0.7},
	{quantity.AccelerationLong, all{one(fAccel)}, []feature{fVehicle}, []feature{fPedal, fVertical, fLat, fLeft, fRight, fRotation, fCounter}, 0.5},
	{quantity.YawRate, all{one(fYaw)}, []feature{fRate, fSpeed, fGyro, fAngle}, []feature{fAccel}, 0.93},
	{quantity.YawRate, all{one(fGyro), one(fVertical)}, []feature{fRate, fSpeed}, nil, 0.75},
	{quantity.SteeringAngle, all{one(fSteering)}, []feature{fAngle, fWheel, fPosition}, []feature{fTorque, fPressure, fSpeed, fRate}, 0.93},
	{quantity.Gear, all{one(fGear)}, []feature{fPosition, fEngine, fStatus, fGearbox, fRatio, fCounter}, []feature{fTemperature, fPressure, fOil, fRotation, fTime, fCut, fVoltage}, 0.94},
	{quantity.Gear, all{one(fGearbox), one(fPosition)}, []feature{fGear, fStatus}, []feature{fTemperature, fPressure, fOil, fRotation, fSpeed}, 0.85},
	{quantity.Clutch, all{one(fClutch)}, []feature{fPedal, fPosition, fStatus, fGear}, []feature{fTemperature, fPressure, fSpeed, fRotation, fTorque}, 0.93},
	{quantity.Brake, all{one(fBrake)}, []feature{fPedal, fPosition, fStatus, fForce}, []feature{fPressure, fTemperature}, 0.93},
	{quantity.Nitrous, all{one(fNitrous)}, []feature{fStatus, fDuty, fValve}, []feature{fPressure, fBottle, fTemperature, fFlow}, 0.93},
	{quantity.WastegateDuty, all{one(fWastegate)}, []feature{fDuty, fPosition, fValve, fBoost, fTarget}, []feature{fPressure, fTemperature}, 0.93},
	{quantity.WastegateDuty, all{one(fBoost), one(fValve, fDuty, fPosition)}, []feature{fPressure, fWastegate, fDuty, fValve}, []feature{fTemperature}, 0.88},
	{quantity.WastegateDuty, all{one(fTurbo), one(fValve)}, []feature{fDuty, fPosition, fPressure, fBoost, fStatus}, []feature{fTemperature, fExhaust, fOil}, 0.8},
	{quantity.TyreTemperature, all{one(fTyre, fWheel), one(fTemperature)}, []feature{fFront, fRear, fLeft, fRight}, nil, 0.9},
	{quantity.TyrePressure, all{one(fTyre), one(fPressure)}, []feature{fFront, fRear, fLeft, fRight, fAir, fWheel}, nil, 0.94},
	{quantity.BatteryVoltage, all{one(fBattery)}, []feature{fVoltage, fEngine, fCounter}, []feature{fCurrent, fTemperature}, 0.95},
	{quantity.BatteryVoltage, all{one(fVoltage)}, []feature{fEngine}, []feature{fKnock, fLambda, fThrottle, fPedal, fOxygen, fRaw}, 0.6},
	{quantity.RideHeight, all{one(fRide)}, []feature{fHeight, fPosition, fFront, fRear, fLeft, fRight, fDistance}, []feature{fSpeed, fForce}, 0.85},
	{quantity.RideHeight, all{one(fHeight)}, []feature{fVehicle, fFront, fRear, fLeft, fRight}, []feature{fSatellite}, 0.5},
	{quantity.ShaftTorque, all{one(fShaft), one(fTorque)}, []feature{fDriven, fWheel, fLeft, fRight, fFront, fRear}, nil, 0.93},
	{quantity.Heading, all{one(fHeading)}, []feature{fSatellite, fAngle}, []feature{fRate, fSpeed, fGyro}, 0.9},
	{quantity.Time, all{one(fTime)}, []feature{fSatellite, fEngine}, []feature{fInjector, fIgnition, fDuty}, 0.5},
}

// rules are all of them, the wheels' included.
var rules = func() []rule {
	rules := plainRules
	for _, w := range []struct {
		q          quantity.Name
		axle, side feature
	}{
		{quantity.WheelSpeedFL, fFront, fLeft}, {quantity.WheelSpeedFR, fFront, fRight},
		{quantity.WheelSpeedRL, fRear, fLeft}, {quantity.WheelSpeedRR, fRear, fRight},
	} {
		deny := []feature{fTemperature, fPressure, fTyre, fRide, fHeight, fBrake, fTorque, fExhaust, fLambda, fKnock, fEngine, fTurbo}
		rules = append(rules,
			rule{w.q, all{one(fWheel), one(w.axle), one(w.side)}, []feature{fSpeed, fVehicle, fRotation}, deny, 0.96},
			rule{w.q, all{one(fSpeed), one(w.axle), one(w.side)}, []feature{fVehicle}, deny, 0.9},
		)
	}
	// One reading for an axle, as some anti-lock systems give it.
	for _, w := range []struct {
		q    quantity.Name
		axle feature
	}{{quantity.WheelSpeedFL, fFront}, {quantity.WheelSpeedRL, fRear}} {
		rules = append(rules, rule{w.q, all{one(fWheel, fSpeed), one(w.axle)}, []feature{fSpeed, fVehicle, fWheel, fShaft},
			[]feature{fTemperature, fPressure, fTyre, fRide, fHeight, fBrake, fTorque, fExhaust, fLambda, fKnock, fEngine, fTurbo, fLeft, fRight}, 0.7})
	}
	return rules
}()
