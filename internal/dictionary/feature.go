package dictionary

import "math/bits"

// feature is one idea that a word of a channel's name may carry.
type feature uint8

const (
	_ feature = iota // the zero value is no idea
	// what is measured
	fPressure
	fTemperature
	fSpeed    // of travel, or of rotation if the thing turns
	fRotation // rotation for certain: rpm
	fAccel
	fAngle
	fFlow
	fConsumption
	fVoltage
	fDuty
	fPosition
	fLevel
	fTorque
	fHeight
	fHumidity
	fDistance
	fTime
	fRate
	fRatio
	fPower
	fCurrent
	fForce
	fLoad
	// things
	fEngine
	fManifold
	fIntake
	fAir
	fExhaust
	fTurbine
	fCompressor
	fTurbo
	fBoost
	fBaro
	fAmbient
	fCoolant
	fWater
	fOil
	fFuel
	fRail
	fCharge
	fCooler
	fGearbox
	fClutch
	fBrake
	fPedal
	fThrottle
	fWheel
	fTyre
	fInjector
	fPump
	fWastegate
	fValve
	fIgnition
	fAdvance
	fKnock
	fLambda
	fAFR
	fSatellite
	fLatitude
	fLongitude
	fAltitude
	fHeading
	fYaw
	fSteering
	fGear
	fNitrous
	fBottle
	fBattery
	fRide
	fShaft
	fLaunch
	fCut
	fTraction
	fSlip
	fEthanol
	fTrim
	fCrankcase
	fVehicle
	fDriven
	fMass
	fVolume
	fSensor
	fCatalyst
	fCam
	fEGR
	fLap
	fCounter
	fOxygen
	fWind
	// qualities and places
	fTarget
	fError
	fLimit
	fStatus
	fRaw
	fMean
	fActual
	fAbsolute
	fGauge
	fBefore
	fAfter
	fFront
	fRear
	fLeft
	fRight
	fLong
	fLat
	fVertical
	fGyro
	fBank
	fCylinder
	fCorrection
	fFiller // carries nothing
	featureCount
)

// features is a set of ideas.
type features [2]uint64

func setOf(fs ...feature) (s features) {
	for _, f := range fs {
		s[f>>6] |= 1 << (f & 63)
	}
	return s
}

func (s features) has(f feature) bool          { return s[f>>6]&(1<<(f&63)) != 0 }
func (s features) union(o features) features   { return features{s[0] | o[0], s[1] | o[1]} }
func (s features) common(o features) features  { return features{s[0] & o[0], s[1] & o[1]} }
func (s features) empty() bool                 { return s[0]|s[1] == 0 }
func (s features) within(o features) bool      { return s[0]&^o[0] == 0 && s[1]&^o[1] == 0 }
func (s features) without(o features) features { return features{s[0] &^ o[0], s[1] &^ o[1]} }
func (s features) count() int                  { return bits.OnesCount64(s[0]) + bits.OnesCount64(s[1]) }
