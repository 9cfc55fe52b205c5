package fitcar

import (
	"fmt"
	"math"
	"strings"
)

// doubt weighs down passes whose torque scale falls far from the others'; true
// when some weight changed.
func (m *Model) doubt(obs []*Observation, weights []float64, f *fitted) bool {
	if len(obs) < 3 {
		return false
	}
	var res []float64
	for _, r := range f.Residual {
		if !math.IsNaN(r) {
			res = append(res, r)
		}
	}
	if len(res) < 3 {
		return false
	}
	mid := median(res)
	dev := make([]float64, len(res))
	for i, r := range res {
		dev[i] = math.Abs(r - mid)
	}
	limit := max(1.2, 4*1.4826*median(dev)) // m/s
	changed := false
	for i, r := range f.Residual {
		if !math.IsNaN(r) && math.Abs(r-mid) > limit && weights[i] > 0.1 {
			weights[i] = 0.1
			changed = true
			m.Notes = append(m.Notes, fmt.Sprintf("pass %s does not fit with the others (%.1f m/s at the trap): it counts for little", name(obs[i]), r-mid))
		}
	}
	return changed
}

func name(o *Observation) string {
	if o.ID != "" {
		return o.ID
	}
	return o.File
}

// tellPasses says which passes teach only in part.
func (m *Model) tellPasses() {
	whole := 0
	var bare []string
	for i, p := range m.Passes {
		o := p.Obs
		if o.Unnoted {
			bare = append(bare, name(o))
		}
		for _, s := range o.Shifts {
			if s.Missed {
				m.Notes = append(m.Notes, fmt.Sprintf("pass %s: the shift out of %d was missed at first; its time is not taken for the driver's, and no shift to come is taken to be missed", name(o), s.From))
			}
		}
		suspect := m.saySuspect(i)
		if suspect != "" {
			m.Notes = append(m.Notes, suspect)
		}
		switch {
		case o.mended, suspect != "" && p.Weight < soundWeight:
		case o.Lifted():
			m.Notes = append(m.Notes, fmt.Sprintf("pass %s: the throttle was shut on the way; the gears without a lift teach, its trap speed does not", name(o)))
		case math.IsNaN(o.Trap):
			m.Notes = append(m.Notes, fmt.Sprintf("pass %s was given up, or its log ends, before the line: it teaches as far as it went", name(o)))
		default:
			whole++
		}
	}
	m.sayAcquitted()
	if len(bare) > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("nothing is written down of %s: the car sheet's usual boost and shift speeds stand for what was set, and the wind is not known; the interval is wider for it", strings.Join(bare, ", ")))
	}
	switch {
	case whole == 0:
		m.Notes = append(m.Notes, "no healthy pass at full throttle to the line is in the record: the forecast stands on parts of passes, and its interval is the car's, not the day's")
	case len(m.Passes) == 1:
		m.Notes = append(m.Notes, "the record holds one pass: how this driver and car repeat is taken from the trade, not from them")
	}
}

// say writes what could not be learnt.
func (m *Model) say() {
	m.tellPasses()
	if !m.HasBoost {
		m.Unlearned = append(m.Unlearned, "the whole air path: no channel for manifold pressure")
	}
	for i, l := range m.Learnt {
		if l < 0.3 && i < 11 && !(m.Mean.Car.Boost.Lifted && i == 6) && !(!m.Mean.Car.Boost.Lifted && i == 5) {
			m.Unlearned = append(m.Unlearned, "the "+BoostNames[i])
		}
	}
	m.saySlips()
	m.sayMissed()
	charge, nitrous := false, false
	for _, p := range m.Passes {
		charge = charge || p.Obs.Charge != nil
		nitrous = nitrous || p.Obs.Nitrous
	}
	if !charge {
		m.Unlearned = append(m.Unlearned, "the charge temperature: no channel for it")
	}
	if !nitrous {
		m.Unlearned = append(m.Unlearned, "what nitrous brings: it was never used")
	}
	m.Unlearned = append(m.Unlearned, "drag area and mass beyond the sheet: torque and drag cannot be told apart without a coast-down")
}

// strange is how far off a replay may be, 1 of the trap speed, before it is told.
const strange = 0.03

// sayMissed tells when the fitted car does not repeat its own passes.
func (m *Model) sayMissed() {
	var off []float64
	for i, p := range m.Passes {
		if r := m.Mean.Residual[i]; p.Weight > 0.5 && !math.IsNaN(r) {
			off = append(off, r/p.Obs.Trap)
		}
	}
	if x := median(off); math.Abs(x) > strange {
		m.Notes = append(m.Notes, fmt.Sprintf("the fitted car misses its own passes by %.0f %% at the trap: something is at work that the model does not know (a clutch that slips in gear, a ratio that is not the sheet's); what a change brings is in doubt", 100*math.Abs(x)))
	}
}
