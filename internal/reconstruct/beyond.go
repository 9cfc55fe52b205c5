package reconstruct

import (
	"fmt"
	"math"

	"traplight/internal/num/localfit"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// What an engine gives for the pressure in its manifold varies little over a pull: charging
// efficiency and spark by some per cent, nitrous by up to a quarter (common practice, no source).
const (
	beyondUsual  = 0.8  // 1, the quantile of crank torque per manifold pressure that is taken as the engine's own
	beyondMore   = 1.3  // 1, more than so many times that is not the engine's
	beyondMedian = 1.6  // 1, the same of the median: tyres hold some gears to less than the engine's own
	beyondLasts  = 0.3  // s that it must last: clutches bite and shafts ring for less
	beyondArea   = 0.06 // s that it must last else, times what is more in limits
	beyondBlind  = 1.7  // 1, the same of torque alone, where no channel tells manifold pressure
	beyondReach  = 0.1  // s about it that goes too
	beyondLeast  = 100  // samples at full throttle that a comparison needs
	beyondSmooth = 0.15 // s, half the window of the slope of engine speed
)

// findBeyond marks where the torque that the movement asks for is more than engine and tyres give. A
// receiver that strays for a moment makes such torque, where nothing feels acceleration
// and no wheel rolls beside it; the owner would set the next pass by it.
func (k *work) findBeyond(s *signals) {
	k.beyond = make([]bool, k.g.n)
	if !k.d.blurred || k.d.byEngine || len(k.d.ratios) == 0 {
		return
	}
	manifold := s.set.First(quantity.ManifoldPressure)
	most := beyondBlind
	if manifold != nil {
		most = beyondMore
	}
	at := make([]float64, k.g.n)
	for i := range at {
		at[i] = k.g.at(i)
	}
	eff := 1 - k.sheet.LossShare.Value
	per := nans(k.g.n)
	var usual []float64
	for i := range per {
		gear := k.d.gearAt(at[i])
		if !k.d.full[i] || gear < 1 || gear > len(k.d.ratios) {
			continue
		}
		spin := 0.0
		if _, slope, ok := localfit.Quadratic(at, k.g.engine, at[i], beyondSmooth); ok && !math.IsNaN(slope) {
			spin = k.sheet.EngineInertia.Value * slope
		}
		per[i] = k.hub[i]/k.d.ratios[gear-1]/eff + spin
		if manifold != nil {
			per[i] /= sampleAt(manifold.Trace, at[i], 0.5)
		}
		if !math.IsNaN(per[i]) {
			usual = append(usual, per[i])
		}
	}
	if len(usual) < beyondLeast {
		return
	}
	limit := math.Min(most*stats.Quantile(usual, beyondUsual), beyondMedian*stats.Median(usual))
	over := func(i int) bool {
		return per[i] > limit || k.d.full[i] && k.drive[i] > gripMost*math.Max(k.load[i], 200)
	}
	reach, count := int(beyondReach/gridStep), 0
	for i := 0; i < k.g.n; i++ {
		j, excess := i, 0.0
		for j < k.g.n && over(j) {
			if !math.IsNaN(per[j]) {
				excess += (per[j]/limit - 1) * gridStep
			}
			j++
		}
		if float64(j-i)*gridStep >= beyondLasts || excess >= beyondArea {
			count += j - i
			for m := max(0, i-reach); m < min(k.g.n, j+reach); m++ {
				k.beyond[m] = true
			}
		}
		i = j
	}
	if count > 0 {
		k.p.Notes = append(k.p.Notes, fmt.Sprintf("for %.1f s at full throttle the speed asks for more torque than this engine gives elsewhere in the pass: a receiver that strays; peaks and ceilings leave it out, and an accelerometer or a wheel that only rolls would tell the torque there", float64(count)*gridStep))
	}
}
