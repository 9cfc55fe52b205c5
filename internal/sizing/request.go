package sizing

import (
	"traplight/internal/car"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
)

// Request is what is to be sized.
type Request struct {
	Sheet   *car.Sheet
	Strip   car.Strip
	Weather *car.Weather // nil for a warm day
	Target  float64      // m/s, trap speed; 0 takes the sheet's
	// FreeBoost lets every gear have as much torque as its tyres carry; else the sheet's
	// boost by gear holds torque back as it is scheduled.
	FreeBoost bool
	Map       *turbomap.Compressor // nil without one
	Turbos    int                  // compressors that share the air; 0 takes the sheet's, else 1
	Housings  []*turbomap.Turbine
	Measured  *Measured // what the car's own passes told; nil without any
	Draws     int       // 0 means 300
	Seed      uint64
}

// Measured is what passes of the car itself told; nil fields are not known.
type Measured struct {
	Passes      int                // passes looked at
	Runs        []OwnRun           // passes without a lift, for the level of power; at most a few
	Pulls       []OwnPull          // moments of peak power at the highest boost run; at most a few
	Grip        *quantity.Estimate // 1, peak; LowerBound where it was not reached
	ShiftTime   *quantity.Estimate // s without torque
	Recovery    *quantity.Estimate // s until the boost is back at its target
	Fill        *quantity.Estimate // 1, volumetric efficiency
	Efficiency  *quantity.Estimate // 1, brake efficiency as pass.Fuel has it
	Lambda      *quantity.Estimate // 1, at peak power
	Cooler      *quantity.Estimate // 1, effectiveness
	Exhaust     *quantity.Estimate // K before the turbine
	TurbineArea *quantity.Estimate // m², effective, all turbines and their wastegates as they stood at peak power
	Braking     *quantity.Estimate // g, mean of the hardest two seconds after the line
}

// OwnRun is one pass of the car as far as the level of power needs it.
type OwnRun struct {
	Name    string
	Trap    float64           // m/s
	Length  float64           // m
	Window  float64           // m
	Wheel   quantity.Estimate // W, peak
	Weather car.Weather
	Boost   []float64 // Pa gauge by gear; nil as in the sheet
	MassAdd float64   // kg
	Grade   float64   // rise over run; NaN unknown
}

// best is the fastest of the own passes, nil without any.
func (m *Measured) best() *OwnRun {
	var b *OwnRun
	for i := range m.Runs {
		if b == nil || m.Runs[i].Trap > b.Trap {
			b = &m.Runs[i]
		}
	}
	return b
}
