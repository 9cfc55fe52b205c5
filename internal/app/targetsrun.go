package app

import (
	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// TargetsRun are the boost targets, Pa gauge by gear, with which pass number of a report, from 0,
// was run, where no note states them: as forecast and plan take them. The sheet's usual ones where
// the log shows no others; nil where neither tells any.
func TargetsRun(r *report.Report, number int, sheet *car.Sheet) []float64 {
	if r == nil || number < 0 || number >= len(r.Passes) {
		return sheet.UsualBoost
	}
	logged := false
	for _, c := range r.Log.Channels {
		logged = logged || c.Quantity != nil && *c.Quantity == string(quantity.BoostTarget)
	}
	var run []fitcar.RunGear
	for _, g := range r.Passes[number].Gears {
		if g.BoostTarget != nil && g.StartS != nil && g.EndS != nil {
			run = append(run, fitcar.RunGear{Gear: g.Gear, Lasts: *g.EndS - *g.StartS, Target: *g.BoostTarget})
		}
	}
	if !logged && len(sheet.UsualBoost) == 0 {
		return nil // forecast and plan take then what boost reached
	}
	if t := fitcar.RunTargets(sheet.UsualBoost, run, logged); t != nil {
		return t
	}
	return sheet.UsualBoost
}
