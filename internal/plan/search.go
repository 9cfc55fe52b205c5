package plan

import (
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/forecast"
)

// settings is what the plan may choose.
type settings struct {
	boost   []float64 // Pa gauge by gear
	rise    []float64 // Pa by gear, of boost from the gear's beginning to its end; nil: none
	shift   []float64 // rad/s by gear, aim
	nitrous bool
	window  window
	launch  float64 // rad/s; 0: as it was run
}

func (s settings) clone() settings {
	return settings{slices.Clone(s.boost), slices.Clone(s.rise), slices.Clone(s.shift), s.nitrous, s.window.clone(), s.launch}
}

// search holds what all judgements share.
type search struct {
	m      *fitcar.Model
	base   *forecast.Next
	opt    Options
	gauge  gauge   // of the mean member
	gauges []gauge // by member
	rotor  rotor   // of the turbo
	heat   heat    // of the exhaust
	missed missed  // by the model, of boost
	unread map[string]unread
	asHeld map[string]asHeld // by limit that no channel shows
	gas    float64           // K, the exhaust's with the highest boost run, if it were measured; 0: worked out
	upper  []float64         // Pa gauge by gear, never above
	ran    settings          // the highest that was run in clear passes, by gear
	best   float64           // m/s, best trap speed so far
	seed   uint64
	draws  int
	told   int // draws behind what is told of settings as they are
	count  int // passes simulated

	launches map[float64]*forecast.Next // by launch engine speed, rad/s

	spin  []spinSeen  // by gear, wheelspin that the model does not explain
	grip  []*gripSeen // by gear, what the passes tell of the model's slip
	slid  [][]slid    // by pass, the slip of its gears against each member's tyres, member by member
	bites bool        // the clutch bit beyond the gearbox's limit already
	part  float64     // 1, of the accepted chance, that one gear may take while climbing
	hold  bool        // the health screen found what forbids more boost
	inner []float64   // 1 by gear, engine speed at its end over that at its beginning, where boost within gears is searched, and shift speeds are not; nil: it is not
}

func (s *search) next(x settings) *forecast.Next {
	n := *s.launched(x.launch)
	n.Target, n.TargetRise, n.ShiftAim, n.Nitrous = x.boost, x.rise, x.shift, x.nitrous
	n.NitrousGears, n.NitrousBelow = x.window.gears, x.window.below
	return &n
}

// rises is by how much boost rises within gear g (from 0), Pa; under 0 it falls.
func (s *settings) rises(g int) float64 {
	if g < len(s.rise) {
		return s.rise[g]
	}
	return 0
}

// lows are the settings with the lower end of each gear's boost.
func (s settings) lows() settings {
	if s.rise == nil {
		return s
	}
	x := s.clone()
	for g := range x.boost {
		x.boost[g] += min(0, x.rise[g])
	}
	return x
}
