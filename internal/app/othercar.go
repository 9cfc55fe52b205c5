package app

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/pass"
	"traplight/internal/report"
)

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
		for i, full := range f.FullThrottle {
			if !full || p.Motion.V[i] < slow || math.IsNaN(f.EngineSpeed[i]) {
				continue
			}
			all++
			if f.Gear[i] > 0 {
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
