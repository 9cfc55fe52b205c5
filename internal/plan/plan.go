package plan

import (
	"context"
	"errors"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
)

// Options of Make.
type Options struct {
	Risk float64 // 0–1, accepted chance of passing a soft limit in a gear; 0 means 0.1
	Bold bool    // lift the one-step rule
	Seed uint64
	// Verdict is the health screen's on the last pass: "clear", "inspect", "stand
	// down" or "" when there is none.
	Verdict string
	// Inspected says what was looked at and found since, "" nothing.
	Inspected string
	// Findings are the kinds that the health screen found in the last pass.
	Findings []string
	// ForTarget asks for the best chance of the target speed in the passes left
	// (one, if their number is not known) instead of the best expected trap speed.
	ForTarget bool
	// StoppedFrom is the highest trap speed, m/s, from which this car has been stopped
	// on this strip; 0 unknown.
	StoppedFrom float64
	// PassesLeft today; 0 not known.
	PassesLeft int
	// Progress is called with rounds done; nil is allowed.
	Progress func(done, of int)
	// Draws is how many passes stand behind each set of settings that is tried, 0 means 48,
	// and behind what is told of settings as they are, 0 means 200.
	Draws int
	// Map is the compressor's digitised map; nil unknown.
	Map   *turbomap.Compressor
	NoMap string // why there is none though the sheet names one, a sentence; "" otherwise
}

// Limit is one limit of the plan.
type Limit struct {
	Gear   int     `json:"gear"` // 0: the whole pass
	Limit  string  `json:"limit"`
	Class  string  `json:"class"`
	Chance float64 `json:"chance"` // 0–1, of passing it in the pass
	// More is that chance with 1 % more of absolute pressure in the gear, of a limit that the model judges by gear.
	More   float64 `json:"chance_one_percent_more,omitempty"`
	Shadow float64 `json:"shadow_mps"` // m/s of expected trap speed for 1 % more of it
	// ShadowSD is how sure that is: its spread over what the fit does not know and the
	// luck of the pass, m/s.
	ShadowSD float64 `json:"shadow_sd_mps"`
	Binds    bool    `json:"binds"`
}

// Settings are what is to be entered.
type Settings struct {
	Boost     []float64 `json:"boost_target_kpa_by_gear"`          // kPa gauge
	Absolute  []float64 `json:"boost_target_absolute_kpa_by_gear"` // kPa absolute, at the barometer
	Barometer float64   `json:"barometer_kpa"`                     // kPa absolute
	Shift     []float64 `json:"shift_rpm"`                         // rpm
	Nitrous   bool      `json:"nitrous"`
	Below     float64   `json:"nitrous_below_target_kpa,omitempty"` // kPa
	// NitrousGears are the gears in which it may open; none: after every shift.
	NitrousGears []int    `json:"nitrous_gears,omitempty"`
	LaunchRPM    *float64 `json:"launch_rpm"` // rpm; null when neither notes nor log show one
	// TyreCold is stated by hand only: a plan leaves the tyres as they were.
	TyreCold float64 `json:"tyre_cold_kpa,omitempty"` // kPa gauge; 0 not stated
}

// Lesson is a change that would teach the model.
type Lesson struct {
	Change string  `json:"change"`
	Gain   float64 `json:"gain_mps"` // m/s, expected
	SD     float64 `json:"sd_mps"`   // m/s, what is not known of it
	Bits   float64 `json:"bits"`     // 1, information that a pass would bring
}

// Plan is the answer.
type Plan struct {
	Settings Settings
	Forecast *forecast.Result
	As       *forecast.Result // the same again, for comparison
	Limits   []Limit
	New      []string // settings not run before
	Lessons  []Lesson
	Already  []string // limits that the last pass exceeded
	Card     bool     // a card may be printed
	NoCard   string   // why not
	Notes    []string
	Ramps    *Ramps  // boost by engine speed within gears; nil where it would bring too little
	Launch   *Launch // what other launch engine speeds would bring; nil unknown
	// Measuring is what knowing the limits that no channel shows would bring, the most first.
	Measuring []Measured
	Passes    int     // simulated
	Today     float64 // 0–1, chance of the target in the passes left; 0 unknown
	// DecelFrom says where the deceleration after the line comes from.
	DecelFrom string
	sheet     *car.Sheet
	verdict   string // on the last pass
	found     string // by the inspection since
	bold      bool
	notRun    func(quantity.World) []string
	kept      []keptGear
}

// ErrNoBoost says that there is nothing to choose.
var ErrNoBoost = errors.New("no boost target is known for any pass: state boost_target_kpa_by_gear in the notes")

// Make plans the next pass from base, the pass as it stands (last settings, or a
// planned entry's), in its air.
func Make(ctx context.Context, m *fitcar.Model, base *forecast.Next, opt Options) (*Plan, error) {
	s, x, err := begin(m, base, opt)
	if err != nil {
		return nil, err
	}
	s.best = s.bestSoFar()
	p := &Plan{Already: standing(m), sheet: m.Sheet, verdict: opt.Verdict, found: opt.Inspected, bold: opt.Bold, DecelFrom: decelFrom(m)}
	s.learnSpin(ctx)
	s.learnGrip(ctx, x)
	p.Already = append(p.Already, s.asRun(ctx, x)...)
	was := s.judge(ctx, x, s.draws)
	start, v := x.clone(), was
	if was.hard > hardChance {
		var ok bool
		if start, v, ok = s.retreat(ctx, x.clone(), was); !ok {
			// the settings stay as they were run: there is nothing to recommend
			p.refuse(s, v)
			return p, s.finish(ctx, p, x, was)
		}
		p.Notes = append(p.Notes, "the settings as they stand exceed a hard limit: boost was lowered first")
	}
	eased, ve, kept := s.ease(ctx, start, v)
	p.kept = kept
	for _, k := range kept {
		p.Notes = append(p.Notes, k.text(s.opt.Risk))
	}
	was = ve
	y, w := s.climb(ctx, eased, ve, was)
	y, w = s.arm(ctx, y, w, was)
	y, w, l := s.polish(ctx, y, w, was)
	y, _, p.Launch = s.pull(ctx, y, w, was)
	y, w = s.confirm(ctx, y, eased, l) // judged anew, under fresh luck
	y, w = s.notSlower(ctx, x, y, w)
	p.Launch.choose(y)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	p.card(opt)
	if p.NoCard == "" {
		p.Measuring = s.measuring(ctx, y, &was, l)
		p.Ramps = s.within(ctx, y, eased)
	}
	return p, s.finish(ctx, p, y, w)
}

func (p *Plan) card(opt Options) {
	switch {
	case p.sheet.Limits.Doubtful() != "":
		p.NoCard = Doubted(p.sheet)
	case !MustInspect(opt.Verdict, opt.Inspected):
		p.Card = true
	case opt.Verdict == "stand down":
		p.NoCard = "the last pass was judged 'stand down': look the car over and enter what was inspected and found (inspected = \"…\" in its notes) before there is a card"
	default:
		p.NoCard = "there is no verdict on the last pass: look the car over and enter what was inspected and found (inspected = \"…\" in its notes) before there is a card"
	}
}

// Doubted says why a sheet whose limits are outside what is usual allows no card; "" where it does.
func Doubted(sheet *car.Sheet) string {
	which := sheet.Limits.Doubtful()
	if which == "" {
		return ""
	}
	return "outside what is usual in the sheet's [limits]: " + which + "; check figure and unit, then state unusual_confirmed = true there. Until then the limit counts as not stated"
}

// MustInspect tells whether what was inspected and found has to be entered before there
// is a card: after "stand down" and where the last pass could not be judged ("").
func MustInspect(verdict, inspected string) bool {
	return inspected == "" && verdict != "clear" && verdict != "inspect"
}
