package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
)

// A ratio that the sheet has wrong: between engine and driven wheels the gears alone
// decide, so that one gear which is off by the same share from its first moment to its
// last, while the others agree, is written down wrong. A clutch that slips does so with
// the torque. Natural logarithms of ratios; set by hand.
const (
	ratioOff    = 0.012 // least that is told
	ratioOthers = 0.008 // most by which the other gears may differ among themselves
	ratioSteady = 0.004 // most between the quartiles within the gear, and from its first third to its last
	ratioCells  = 40
)

// wrongRatio is a gear whose ratio the sheet has wrong.
type wrongRatio struct {
	gear    int
	was, is float64 // 1
}

// ownRatio puts the ratio that the wheels show in the place of one that the sheet has
// wrong.
func (f *frame) ownRatio() {
	driven, _ := f.wheels()
	if len(driven) == 0 || len(f.sheet.Gears) < 3 || f.sheet.FinalDrive == 0 || f.sheet.TyreRadius.Value == 0 {
		return
	}
	var cols [][]float64
	for _, c := range driven {
		cols = append(cols, f.column(c))
	}
	wheel, road := meanOf(cols), f.engineRoad()
	by := map[int][]float64{}
	for i, g := range f.gear {
		if f.full[i] && f.since[i] > 0.5 && f.t[i] > f.launch+2.5 && wheel[i] > 10 && road[i] > 0 {
			by[g] = append(by[g], math.Log(road[i]/wheel[i]))
		}
	}
	var gears []int
	for g, e := range by {
		if len(e) >= ratioCells {
			gears = append(gears, g)
		}
	}
	slices.Sort(gears)
	if len(gears) < 3 {
		return
	}
	for _, g := range gears {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, o := range gears {
			if m := stats.Median(by[o]); o != g {
				lo, hi = min(lo, m), max(hi, m)
			}
		}
		e := by[g]
		third := len(e) / 3
		trend := stats.Median(e[len(e)-third:]) - stats.Median(e[:third])
		off := stats.Median(e) - (lo+hi)/2
		if hi-lo > ratioOthers || math.Abs(off) < ratioOff || math.Abs(trend) > ratioSteady || stats.Quantile(e, 0.75)-stats.Quantile(e, 0.25) > ratioSteady {
			continue
		}
		sheet := *f.sheet
		sheet.Gears = slices.Clone(sheet.Gears)
		f.ratio = &wrongRatio{g, sheet.Gears[g-1], sheet.Gears[g-1] * math.Exp(off)}
		sheet.Gears[g-1] = f.ratio.is
		f.sheet = &sheet
		return
	}
}

// text says it for the reader.
func (w *wrongRatio) text() string {
	return fmt.Sprintf("%s gear by the sheet's ratio of %.4g: engine and driven wheels show %.4g all through that gear, which was taken", ordinal[min(w.gear, len(ordinal)-1)], w.was, w.is)
}
