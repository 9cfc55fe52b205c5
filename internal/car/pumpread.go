package car

import (
	"fmt"
	"slices"
)

// finishPump brings the ways to state a fuel pump together, by rising pressure.
func (s *Sheet) finishPump(w *written, r *reader) {
	if len(w.pumpEach) > 0 {
		n := w.pumpCount
		switch {
		case len(s.FuelPumpFlow) > 0:
			r.note("%s: fuel_pumps_total_flow is used; fuel_pump_flow_each is not.", s.File)
		default:
			if n == 0 {
				n = 1
				s.assume("fuel_pump_count = 1")
			}
			for _, q := range w.pumpEach {
				s.FuelPumpFlow = append(s.FuelPumpFlow, q*float64(n))
			}
		}
	}
	flows, at := len(s.FuelPumpFlow), len(s.FuelPumpPress)
	if flows == 0 {
		s.FuelPumpPress = nil
		return
	}
	if at == 0 {
		if flows > 1 {
			s.FuelPumpFlow = nil
			r.note("%s: several flows of a fuel pump need fuel_pumps_rated_at, a pressure for each, and were not used.", s.File)
			return
		}
		s.assume("fuel_pumps_rated_at_bar = 3 (the usual rating)")
		return
	}
	where := r.at[&s.FuelPumpPress]
	if flows != at {
		r.fail(where.Line, "[engine] "+where.Key, fmt.Sprintf("has a pressure for %d of %d flows; state one for each", at, flows), ErrImpossible)
		s.FuelPumpFlow, s.FuelPumpPress = nil, nil
		return
	}
	order := make([]int, at)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		if s.FuelPumpPress[a] < s.FuelPumpPress[b] {
			return -1
		}
		return 1
	})
	flow, press := make([]float64, at), make([]float64, at)
	for i, k := range order {
		flow[i], press[i] = s.FuelPumpFlow[k], s.FuelPumpPress[k]
	}
	for i := 1; i < at; i++ {
		if press[i] == press[i-1] || flow[i] >= flow[i-1] {
			r.fail(where.Line, "[engine] "+where.Key, "a pump brings less against more pressure; state each flow at its own pressure", ErrImpossible)
			s.FuelPumpFlow, s.FuelPumpPress = nil, nil
			return
		}
	}
	s.FuelPumpFlow, s.FuelPumpPress = flow, press
}
