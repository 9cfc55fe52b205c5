package health

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Summary is what a clear pass leaves for later screens: plain data, a few
// kilobytes.
type Summary struct {
	Name    string             `json:"name"`
	Digests map[string]*digest `json:"digests"`
	// Noise is the usual scatter of each channel, by its name in the log, in the
	// channel's SI unit.
	Noise map[string]float64 `json:"noise"`
	// Knock is the background of each knock sensor, by its name in the log.
	Knock map[string]*knockDigest `json:"knock,omitempty"`
	// Extremes are the most extreme held values for protection, SI unit of each guard.
	Extremes map[string]float64 `json:"extremes,omitempty"`
	// Ethanol is the fuel's, 0–1 by volume, as measured, noted or named by the sheet;
	// nil where nobody knows.
	Ethanol *float64 `json:"ethanol,omitempty"`
	// Air is the day's, as far as it was measured or noted.
	Air *airSummary `json:"air,omitempty"`
	// Grip is the most that the driven tyres used at full throttle, 1; 0 not known.
	Grip float64 `json:"grip,omitempty"`
	// Tyres is what the sheet then said of the wheels.
	Tyres *tyreSummary `json:"tyres,omitempty"`
	// Practice is the kinds whose rules of common practice the pass broke.
	Practice []Kind `json:"practice,omitempty"`
	// Load is the specific load; nil where power or the engine's size is not known.
	Load *Load `json:"load,omitempty"`
	// Start is what was read at the launch, by quantity, SI unit of each.
	Start map[quantity.Name]float64 `json:"start,omitempty"`
}

// Summarise condenses a pass by the sheet that held for it, else by the one given.
func Summarise(r Record, sheet *car.Sheet) Summary {
	if r.Sheet != nil {
		sheet = r.Sheet
	}
	s := Summary{Name: r.Name, Digests: map[string]*digest{}, Noise: map[string]float64{}}
	if r.Set == nil || r.Pass == nil {
		return s
	}
	for i := range r.Set.Channels {
		c := &r.Set.Channels[i]
		if restless[c.Quantity] && c.Trace.Len() >= 40 {
			if v := usualRoughness(c, r.Pass); v > 0 {
				s.Noise[c.Name] = v
			}
		}
	}
	f := newFrame(r, sheet)
	if e := f.ethanol; !math.IsNaN(e) {
		s.Ethanol = &e
	}
	s.Air, s.Tyres, s.Grip = f.airOf(), tyresOf(f.sheet), f.mostGrip()
	for _, l := range f.watches() {
		if d := l.digestRows(l.rows); d != nil {
			s.Digests[l.id] = d
		}
	}
	for _, c := range f.lone(quantity.Knock) {
		if d := f.digestKnock(c); d != nil {
			if s.Knock == nil {
				s.Knock = map[string]*knockDigest{}
			}
			s.Knock[c.Name] = d
		}
	}
	s.Practice = (&judge{frame: f}).habits()
	s.Extremes = f.extremes()
	s.Start = f.startOfPass()
	if l, ok := LoadOf(r.Pass, sheet); ok {
		s.Load = &l
	}
	return s
}

// usualNoise is the median scatter of each channel over the history.
func usualNoise(past []Summary) map[string]float64 {
	all := map[string][]float64{}
	for _, s := range past {
		for k, v := range s.Noise {
			all[k] = append(all[k], v)
		}
	}
	out := map[string]float64{}
	for k, v := range all {
		out[k] = stats.Median(v)
	}
	return out
}
