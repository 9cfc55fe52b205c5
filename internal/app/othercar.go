package app

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/report"
)

// farSlip is how far, ln, engine speed may be from the gear's ratio: a clutch that slips
// may be in its gear, but one that slips by more all the time is another car's gear.
const farSlip = 0.1

// overGear is ln of engine speed over what road speed, tyre slip allowed for, makes of it
// in the gear that sample i was put down to; NaN for none. A tyre's wrong radius shifts
// it in all gears alike.
func overGear(sheet *car.Sheet, p *pass.Pass, i int) float64 {
	f := p.Force
	g := f.Gear[i]
	if g < 1 || g > len(sheet.Gears) {
		return math.NaN()
	}
	wheel := p.Motion.V[i]
	if i < len(f.Slip) && f.Slip[i] > 0 {
		wheel *= 1 + f.Slip[i]
	}
	return math.Log(f.EngineSpeed[i] / (sheet.Gears[g-1] * wheel))
}

// otherCar says of each pass whose engine and road speed fit the sheet's gears for less
// than leastGeared of the full-throttle time that sheet and log may not belong
// together: the numbers would look right and be wrong.
func otherCar(sheet *car.Sheet, passes []*pass.Pass) (told []string) {
	const (
		// Of the open reference logs the own sheet fits 96 % or more, even with a
		// slipping clutch; another car's sheet fits 17 to 75 %, or all by chance.
		leastGeared = 0.8 // 1
		slow        = 8.0 // m/s; below it clutch and tyres slip
		least       = 50  // samples
	)
	if sheet == nil || len(sheet.Gears) == 0 {
		return nil
	}
	for _, p := range passes {
		f := p.Force
		if f == nil {
			continue
		}
		all, fit := 0, 0
		var over []float64
		for i, full := range f.FullThrottle {
			if !full || p.Motion.V[i] < slow || math.IsNaN(f.EngineSpeed[i]) {
				continue
			}
			all++
			if x := overGear(sheet, p, i); !math.IsNaN(x) {
				over = append(over, x)
			}
		}
		usual := stats.Median(over)
		for _, x := range over {
			if math.Abs(x-usual) < farSlip {
				fit++
			}
		}
		if all >= least && float64(fit) < leastGeared*float64(all) {
			told = append(told, fmt.Sprintf("pass %d: engine and road speed fit the gears of %s for only %d %% of the full-throttle time: %s, or are gears, final drive or tyres of the sheet not those of the car?",
				p.Index+1, sheet.Name, 100*fit/all, report.OtherCar))
		}
	}
	return told
}
