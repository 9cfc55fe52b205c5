package forecast

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/physics/air"
	"traplight/internal/sim"
)

// Next is a pass to come: what is set, where and in which air.
type Next struct {
	ID           string
	Target       []float64 // Pa gauge by gear
	TargetRise   []float64 // Pa by gear, from the gear's beginning to its end; see sim.Pass. nil: none
	ShiftAim     []float64 // rad/s by gear
	Nitrous      bool
	NitrousGears []int   // gears in which it may open; nil: as the car has it
	NitrousBelow float64 // Pa below target at which it opens; 0: as the car has it
	MassAdd      float64 // kg over the sheet's
	DragAdd      float64 // m² over the sheet's
	PressureStep float64 // Pa, change of cold tyre pressure against the last pass
	LaunchSpeed  float64 // rad/s, engine speed held at the line; 0 means as it was run. See SetLaunch
	Air          sim.Air
	WindSD       float64 // m/s
	DensitySD    float64 // 1, relative
	Grade        float64 // rise over run
	Length       float64 // m
	Window       float64 // m
	ShutDown     float64 // m after the line; 0 unknown
	Hour         float64 // h, on the clock of the observations
	Aim          float64 // m/s, trap speed aimed at; 0 none
	Notes        []string

	From, FromSD  float64   // m/s, measured trap speed of the pass before and its standard deviation; NaN unknown
	Known         []float64 // Pa gauge by gear, target at which the torque is known: that of the pass before
	KnownPressure float64   // Pa absolute, barometer of that pass
	KnownTemp     float64   // K, ambient temperature of that pass; 0 unknown
	KnownHour     float64   // h, when that pass was run, on the clock of the observations
	KnownWarm     float64   // K, ambient temperature of the warmest pass that counts; 0 unknown
	Held          float64   // Pa gauge, lowest boost that the record shows held; +Inf unknown
	Revision      fitcar.Revision
	Strip         string // id of the strip to come; "" unknown
	launch        launching
	missed        map[*sim.Car][]missed // what each member missed in the record over the length to come; nil: at the lines of the record
	limitDoubt    float64               // rad/s, of a limiter that the record could not show; 0 where it would have
	level         float64               // m/s, trap speed to come as the record has it; 0: that of its last pass
}

// Prepare makes Next from a planned entry of the notes (nil: the same again) and
// the record. It refuses entries with changes that are not understood.
func Prepare(m *fitcar.Model, notes *car.Notes, planned *car.Planned) (*Next, error) {
	last := m.Passes[len(m.Passes)-1].Obs
	n := &Next{Aim: m.Sheet.Target, Length: last.Length, Window: last.Window, Grade: last.Grade}
	base := last
	if planned != nil {
		n.ID = planned.ID
		if planned.HasOtherChanges {
			return nil, fmt.Errorf("planned pass %s: it states a change that is not understood; a forecast must know all of them", planned.ID)
		}
		base = baseOf(m, notes, planned, last)
	}
	n.Strip, n.launch.like = base.Strip, base.LaunchSpeed()
	n.Target, n.ShiftAim = slices.Clone(base.Target), slices.Clone(base.ShiftAim)
	n.Known, n.KnownPressure, n.KnownTemp = base.Target, base.Air.Pressure, base.Air.Temperature
	n.KnownHour, n.KnownWarm = base.Hour, warmest(m)
	n.From, n.FromSD, n.Held = base.Trap, base.TrapSD, m.LowestHeld()
	n.Revision = m.Revise()
	n.Notes = append(n.Notes, n.Revision.Notes...)
	n.Nitrous, n.MassAdd, n.DragAdd = base.Nitrous, base.MassAdd, base.DragAdd
	n.Air, n.Hour = base.Air, base.Hour+0.7
	n.Air.Headwind, n.WindSD = fitcar.Headwind(math.NaN(), 0)
	n.DensitySD = 0.004
	if n.Target == nil && !m.Mean.Car.Boost.NoCharger {
		return nil, fmt.Errorf("no boost target is known for the pass before: state boost_target_kpa_by_gear in its notes, or usual_boost_kpa_by_gear in the car sheet")
	}
	if planned == nil {
		n.Notes = append(n.Notes, "no weather was stated for the pass to come: that of the last pass is taken, the wind as unknown")
		n.elsewhere(m)
		return n, nil
	}
	if err := n.change(m, notes, planned, base); err != nil {
		return n, err
	}
	n.elsewhere(m)
	return n, nil
}

// baseOf is the pass that the plan changes.
func baseOf(m *fitcar.Model, notes *car.Notes, p *car.Planned, last *fitcar.Observation) *fitcar.Observation {
	if note := notes.After(p); note != nil {
		for i := len(m.Passes) - 1; i >= 0; i-- {
			if o := m.Passes[i].Obs; notes.For(o.File, o.Index) == note {
				return o
			}
		}
	}
	return last
}

func (n *Next) change(m *fitcar.Model, notes *car.Notes, p *car.Planned, base *fitcar.Observation) error {
	gears := len(m.Mean.Car.Ratios)
	if p.BoostTarget != nil {
		n.Target = slices.Clone(p.BoostTarget)
	}
	if p.BoostAdd != nil {
		for len(n.Target) < gears && len(n.Target) > 0 {
			n.Target = append(n.Target, n.Target[len(n.Target)-1])
		}
		for i := range n.Target {
			n.Target[i] += p.BoostAdd[min(i, len(p.BoostAdd)-1)]
			if n.Target[i] < 0 {
				return fmt.Errorf("planned pass %s: the boost of gear %d would be %.0f kPa under the barometer", p.ID, i+1, -n.Target[i]/1e3)
			}
		}
	}
	if p.ShiftAim != nil {
		n.ShiftAim = slices.Clone(p.ShiftAim)
	}
	if p.ShiftAdd != 0 {
		if n.ShiftAim == nil {
			n.ShiftAim = m.SeenAim()
			n.Notes = append(n.Notes, "no shift_rpm_aim was written down for the pass before: the engine speeds at which it was shifted stand for it")
		}
		for i := range n.ShiftAim {
			n.ShiftAim[i] += p.ShiftAdd
		}
	}
	if p.Nitrous != nil {
		n.Nitrous = *p.Nitrous
	}
	if n.Nitrous && !everNitrous(m) {
		n.Notes = append(n.Notes, fmt.Sprintf("nitrous has never been used in the record: its effect is taken from practice (%.0f kW at the crank while boost is below target)", m.Mean.Car.Nitrous.Power/1e3))
	}
	n.MassAdd += p.MassAdd
	n.DragAdd += p.DragAreaAdd
	if !math.IsNaN(p.ColdPressure) && math.IsNaN(base.Cold) {
		n.Notes = append(n.Notes, "the tyre pressure of the pass before was not written down: the planned one is taken for the same")
	}
	if !math.IsNaN(p.ColdPressure) && !math.IsNaN(base.Cold) {
		if n.PressureStep = p.ColdPressure - base.Cold; math.Abs(n.PressureStep) > 1e3 {
			n.Notes = append(n.Notes, "what tyre pressure does to grip and drag is not known from this car: a wide prior is taken")
		}
	}
	strip := notes.StripForPlan(p)
	if strip.Length > 0 && p.Strip+p.Event != "" {
		n.Length, n.Window = strip.Length, strip.TrapWindow
	}
	if strip.ID != "" && p.Strip+p.Event != "" {
		n.Strip = strip.ID
	}
	if !math.IsNaN(strip.Grade) {
		n.Grade = strip.Grade
	}
	n.ShutDown = strip.ShutDown
	n.Hour = base.Hour + p.MinutesLater/60
	n.weather(p.Weather, base)
	if l := p.LaunchSpeed; !math.IsNaN(l) && l > 0 {
		if run, _, _ := m.LaunchRun(); run <= 0 {
			n.Notes = append(n.Notes, "at which engine speed the car was launched is not known (neither launch_rpm in the notes nor an engine speed at the line): the planned one changes nothing")
		}
		n.SetLaunch(m, l)
		n.launchNote(m)
	}
	return n.hold(m.Sheet.BoostSetpoint == "absolute" && p.BoostTarget == nil, base.Air.Pressure-n.Air.Pressure)
}

// hold keeps the boost of an engine computer that holds absolute pressure: over
// the barometer of the pass to come it is more by what the barometer fell, Pa.
func (n *Next) hold(absolute bool, fell float64) error {
	if !absolute || math.Abs(fell) < 50 {
		return nil
	}
	for i := range n.Target {
		n.Target[i] = max(0, n.Target[i]+fell)
	}
	n.Notes = append(n.Notes, fmt.Sprintf("the engine computer holds absolute pressure: over the barometer of the pass to come boost is %+.1f kPa", fell/1e3))
	return nil
}

// warmest is the ambient temperature, K, of the warmest pass that counts.
func warmest(m *fitcar.Model) float64 {
	t := 0.0
	for _, p := range m.Passes {
		if p.Weight > 0.5 {
			t = max(t, p.Obs.Air.Temperature)
		}
	}
	return t
}

func everNitrous(m *fitcar.Model) bool {
	for _, p := range m.Passes {
		if p.Obs.Nitrous {
			return true
		}
	}
	return false
}

// weather takes what is stated; what is not stays as in the pass before, with more
// spread.
func (n *Next) weather(w car.Weather, base *fitcar.Observation) {
	rh := base.Humidity
	if !math.IsNaN(w.Humidity) {
		rh = w.Humidity
	} else if math.IsNaN(rh) {
		rh = 0.5
	}
	var missing []string
	if math.IsNaN(w.AirTemp) {
		missing = append(missing, "air temperature")
		n.DensitySD = math.Hypot(n.DensitySD, 0.01)
	} else {
		n.Air.Temperature = w.AirTemp
	}
	if math.IsNaN(w.Pressure) {
		missing = append(missing, "air pressure")
		n.DensitySD = math.Hypot(n.DensitySD, 0.003)
	} else {
		n.Air.Pressure = w.Pressure
	}
	if rho, ok := air.Density(n.Air.Temperature, n.Air.Pressure, rh); ok {
		n.Air.Density = rho
	}
	n.Air.Headwind, n.WindSD = fitcar.Headwind(w.Headwind, w.HeadwindS)
	if math.IsNaN(w.Headwind) {
		missing = append(missing, "wind")
		// wind lasts for an hour or so
		keep := math.Exp(-max(0, n.Hour-base.Hour) / 3)
		n.Air.Headwind = keep * base.Air.Headwind
		n.WindSD = math.Sqrt(keep*keep*base.WindSD*base.WindSD + (1-keep*keep)*n.WindSD*n.WindSD)
	}
	for _, q := range missing {
		n.Notes = append(n.Notes, "no "+q+" was stated for the pass to come: the interval is wider for it")
	}
}

// AsRun is the pass to come with the settings and the weather that it then had, taken
// from its log and notes; what those do not tell stays as it was expected.
func AsRun(m *fitcar.Model, n *Next, o *fitcar.Observation) *Next {
	out := *n
	if o.Target != nil {
		out.Target = slices.Clone(o.Target)
	}
	if o.ShiftAim != nil {
		out.ShiftAim = slices.Clone(o.ShiftAim)
	}
	out.Nitrous, out.MassAdd, out.DragAdd = o.Nitrous, o.MassAdd, o.DragAdd
	out.Air, out.WindSD, out.DensitySD = o.Air, o.WindSD, 0.002
	out.Hour, out.Length, out.Window, out.Grade, out.Strip = o.Hour, o.Length, o.Window, o.Grade, o.Strip
	out.elsewhere(m)
	out.Notes = nil
	return &out
}
