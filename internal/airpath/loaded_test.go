package airpath

import (
	"testing"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Boost is up from 0.85 of the gear's highest absolute pressure on; a window that never comes there is none.
func TestLoaded(t *testing.T) {
	m := &boost{baro: quantity.Estimate{Value: 100e3}, offset: 2e3}
	for i := range 300 {
		m.gauge.T = append(m.gauge.T, 0.01*float64(i))
		v := min(200e3, 50e3+1e3*float64(i)) // absolute, over the barometer: 150 to 300 kPa
		if i >= 200 {
			v = 20e3
		}
		m.gauge.V = append(m.gauge.V, v+m.offset)
	}
	got := m.loaded([]pass.Window{{From: 0, To: 1.9}, {From: 2.05, To: 2.9}})
	if len(got) != 1 || got[0].To != 1.9 || got[0].From < 1.049 || got[0].From > 1.061 {
		t.Errorf("%v, want from 1.05 s (255 kPa) to 1.9 s", got)
	}
}
