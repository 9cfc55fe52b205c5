package main

import (
	"encoding/json"
	"math"
	"os"
	"slices"
)

// Truth is what really happened in a simulated log: the part of its
// .truth.json that is compared. Times t_* are seconds on the log's own clock;
// pressures are absolute, Pa, unless named gauge; all else is SI.
type Truth struct {
	ID       string         `json:"id"`
	File     string         `json:"file"`
	Car      string         `json:"car"`
	Quirks   []Quirk        `json:"quirks"`
	Channels []TruthChannel `json:"channels"`
	Passes   []TruthPass    `json:"passes"`
}

// Quirk is an oddity of the file.
type Quirk struct {
	Kind    string  `json:"kind"`
	Channel string  `json:"channel,omitempty"`
	Seconds float64 `json:"seconds,omitempty"`
}

// TruthChannel says what a column is.
type TruthChannel struct {
	Column   string  `json:"column"`
	Quantity string  `json:"quantity"`
	Unit     string  `json:"unit"`
	RateHz   float64 `json:"rate_hz"`
}

// TruthPass is one pass of the truth.
type TruthPass struct {
	Index     int                   `json:"index"`
	Launch    float64               `json:"t_launch"`
	Rollout   float64               `json:"t_rollout_1ft"`
	Release   float64               `json:"t_clutch_release"`
	FinalLift float64               `json:"t_final_lift"`
	Complete  bool                  `json:"complete"`
	Healthy   bool                  `json:"healthy"`
	Marks     map[string]*TruthMark `json:"marks"`
	Trap      *TruthTrap            `json:"trap"`
	Gears     []TruthGear           `json:"gears"`
	Shifts    []TruthShift          `json:"shifts"`
	Power     *TruthPower           `json:"peak_hub_power"`
	TakeUp    *TruthTakeUp          `json:"launch"`
	Air       TruthAir              `json:"environment"`
	Car       TruthCar              `json:"car_params"`

	// End is where what is asked of the pass ends, log's own clock, s: the line of
	// another distance, or the end of a log cut short; 0 the half mile.
	End float64 `json:"-"`
	// Gone says that the log begins behind the launch: no pass is to be found.
	Gone bool `json:"-"`
}

// TruthTakeUp is how the clutch took the car up.
type TruthTakeUp struct {
	EngineSpeed float64  `json:"rpm_at_release"`
	Manifold    float64  `json:"map_at_release"`
	Closed      *float64 `json:"t_clutch_locked"`
	ClosedAt    *float64 `json:"rpm_at_lock"`
}

// TruthMark is a mark on the strip.
type TruthMark struct {
	X           float64 `json:"x"`
	At          float64 `json:"t_log"`
	FromMove    float64 `json:"from_move"`
	FromRollout float64 `json:"from_rollout"`
	V           float64 `json:"v"`
}

// TruthTrap is the trap speed.
type TruthTrap struct {
	Mean float64 `json:"v_mean_66ft"`
}

// TruthGear is the time in one gear.
type TruthGear struct {
	Gear            int      `json:"gear"`
	Ratio           float64  `json:"ratio_total"`
	Start           float64  `json:"t_start"`
	End             float64  `json:"t_end"`
	HubPeak         *float64 `json:"hub_torque_peak"`
	HubMean         *float64 `json:"hub_torque_mean"`
	CrankMean       *float64 `json:"crank_torque_mean"`
	SlipMax         *float64 `json:"slip_max"`
	SlipMean        *float64 `json:"slip_mean"`
	CeilingMean     *float64 `json:"hub_torque_ceiling_mean"`
	TimePastPeak    *float64 `json:"time_past_peak_slip"`
	BoostMean       *float64 `json:"boost_gauge_mean"`
	BackPressure    *float64 `json:"back_pressure_ratio_mean"`
	FullThrottle    *float64 `json:"full_throttle_s"`
	GripUsedMax     *float64 `json:"mu_used_max"`
	SlipAtPeakGrip  *float64 `json:"slip_at_peak_grip"`
	BoostTargetGaug *float64 `json:"boost_target_gauge"`
}

// TruthShift is one gear change.
type TruthShift struct {
	From        int      `json:"from_gear"`
	To          int      `json:"to_gear"`
	Start       float64  `json:"t_start"`
	TorqueOff   float64  `json:"t_torque_off"`
	TorqueOn    float64  `json:"t_torque_on"`
	EngineSpeed float64  `json:"rpm_before"`
	MapStart    float64  `json:"map_start"`
	MapMin      float64  `json:"map_min"`
	MapTarget   float64  `json:"map_target_next"`
	ToPre       *float64 `json:"recovery_to_pre_from_start_s"`
	ToTarget    *float64 `json:"recovery_to_target_from_start_s"`
	Missed      bool     `json:"missed"`
}

// TruthPower is the state at the peak of hub power.
type TruthPower struct {
	Power        float64  `json:"power"`
	At           float64  `json:"t_log"`
	Gear         int      `json:"gear"`
	EngineSpeed  float64  `json:"rpm"`
	FuelFlow     *float64 `json:"fuel_mass_flow"`
	BackPressure *float64 `json:"back_pressure_ratio"`
	Lambda       *float64 `json:"lam"`
	CrankPower   *float64 `json:"crank_power"`
}

// TruthCar is what the variants need to know of the car.
type TruthCar struct {
	Layout string `json:"layout"`
}

// TruthAir is the air of the pass.
type TruthAir struct {
	Density  float64 `json:"air_density"`
	Pressure float64 `json:"p_amb"`
	Temp     float64 `json:"t_amb"`
	Headwind float64 `json:"headwind_mean"`
}

// recovered is the share of a boost that counts as recovered.
const recovered = 0.95

// Recovery is the boost recovery as the report defines it, s from the shift's
// end (torque back through half) to 95 % of the lesser of the boost before and
// the new target, gauge; 0 when boost never fell below that; nil when it was not
// reached in that gear. The truth counts from the driver's first action, and from
// the lowest boost even where that stayed above the level. barometer in Pa.
func (s *TruthShift) Recovery(barometer float64) *float64 {
	var from *float64
	switch {
	case s.ToPre == nil:
		from = s.ToTarget
	case s.ToTarget == nil || *s.ToPre <= *s.ToTarget:
		from = s.ToPre
	default:
		from = s.ToTarget
	}
	return s.afterEnd(from, min(s.MapStart, s.MapTarget)-barometer, barometer)
}

// RecoveryToTarget is the same to 95 % of the new target, s; barometer in Pa.
func (s *TruthShift) RecoveryToTarget(barometer float64) *float64 {
	return s.afterEnd(s.ToTarget, s.MapTarget-barometer, barometer)
}

func (s *TruthShift) afterEnd(fromStart *float64, boost, barometer float64) *float64 {
	v := 0.0
	if s.MapMin-barometer < recovered*boost {
		if fromStart == nil {
			return nil
		}
		v = max(0, s.Start+*fromStart-s.TorqueOn)
	}
	return &v
}

func readTruth(path string) (*Truth, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	t := new(Truth)
	return t, json.Unmarshal(data, t)
}

// Layout is the driven axle: "front", "rear" or "all".
func (t *Truth) Layout() string {
	if len(t.Passes) == 0 {
		return ""
	}
	return t.Passes[0].Car.Layout
}

// shifted is the truth with every time on the log's clock moved by so many
// seconds.
func (t *Truth) shifted(by float64) *Truth { return t.later(math.Inf(-1), by) }

// later is the truth with every time from a moment of the log's clock on moved by so
// many seconds.
func (t *Truth) later(from, by float64) *Truth {
	move := func(at *float64) {
		if *at >= from {
			*at += by
		}
	}
	c := *t
	c.Passes = slices.Clone(t.Passes)
	for i := range c.Passes {
		p := &c.Passes[i]
		for _, at := range []*float64{&p.Launch, &p.Rollout, &p.Release, &p.FinalLift} {
			move(at)
		}
		if p.TakeUp != nil && p.TakeUp.Closed != nil {
			up, closed := *p.TakeUp, *p.TakeUp.Closed
			move(&closed)
			up.Closed, p.TakeUp = &closed, &up
		}
		marks := map[string]*TruthMark{}
		for name, m := range p.Marks {
			if m != nil {
				moved := *m
				move(&moved.At)
				m = &moved
			}
			marks[name] = m
		}
		p.Marks = marks
		p.Gears = slices.Clone(p.Gears)
		for j := range p.Gears {
			move(&p.Gears[j].Start)
			move(&p.Gears[j].End)
		}
		p.Shifts = slices.Clone(p.Shifts)
		for j := range p.Shifts {
			s := &p.Shifts[j]
			for _, at := range []*float64{&s.Start, &s.TorqueOff, &s.TorqueOn} {
				move(at)
			}
		}
		if p.Power != nil {
			w := *p.Power
			move(&w.At)
			p.Power = &w
		}
	}
	return &c
}
