package plan

import (
	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// fitGear is a gear of a replay.
func fitGear(m *fitcar.Model) sim.Gear {
	car, p := m.Replay(&m.Mean, 0)
	r := sim.Runner{Car: car, Watch: true}
	res, err := r.Run(p)
	if err != nil {
		panic(err)
	}
	return res.Gears[len(res.Gears)-1]
}
