package report

import (
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/pass"
	"traplight/internal/setup"
	"traplight/internal/trace"
)

// Source is one log with what was found in it.
type Source struct {
	Log    *logfile.Log
	Set    *dictionary.Set
	Sheet  *car.Sheet        // the car as it stood for this log
	Passes []*pass.Pass      // in time order
	Late   *pass.Pass        // instead of any: the run in which the log begins, without its launch
	Notes  []string          // the reconstruction's, a sentence each
	Health []*Health         // by pass; nil or shorter where nothing was judged
	Ledger [][]Ledger        // by pass; nil or shorter where no account was made
	Setup  [][]setup.Setting // by pass; nil or shorter where nobody looked
}

// Options say what to leave out.
type Options struct {
	Without []string // "ledger": the key is null with no reason given
}

// Assemble puts the logs' results into one report. Sources must not be empty.
// first are notes that stand before all others, such as unread keys of the
// sheet and of the notes file.
func Assemble(sources []Source, first []string, opts Options) *Report {
	if len(sources) == 0 {
		panic("report: no source")
	}
	r := &Report{Notes: []string{}, Passes: []Pass{}}
	var n noteList
	n.add("", unreadFirst(sources, first)...)
	n.add("", rest(first)...)
	for i := range sources {
		if s := &sources[i]; s.Sheet != nil {
			if i == 0 || r.Units == nil {
				r.Units = words(s.Sheet.Units)
			}
			n.add("", rest(s.Sheet.Notes)...)
		}
	}
	cars := carsOf(sources)
	r.Car = strings.Join(cars, ", ")
	several := len(sources) > 1
	for i := range sources {
		s := &sources[i]
		prefix := ""
		if several {
			prefix = s.Log.File + ": "
		}
		info := logInfo(s.Log, s.Set)
		if i == 0 {
			r.Log = info
		}
		if several {
			r.Logs = append(r.Logs, info)
		}
		n.add(prefix, s.Log.Notes...)
		if s.Set != nil {
			n.add(prefix, s.Set.Notes...)
		}
		n.add(prefix, s.Notes...)
		from := len(r.Passes)
		for k, p := range s.Passes {
			out := passOf(p, s)
			if s.Sheet != nil {
				out.Car = s.Sheet.Name
			}
			if k < len(s.Health) {
				out.Health = s.Health[k]
			}
			out.Setup = []Setting{}
			if k < len(s.Setup) {
				out.Setup = Settings(s.Setup[k])
			}
			if k < len(s.Ledger) && s.Ledger[k] != nil {
				out.Ledger = s.Ledger[k]
			}
			explain(&out, s, opts)
			r.Passes = append(r.Passes, out)
		}
		if len(s.Passes) == 0 && s.Late != nil {
			r.Passes = append(r.Passes, lateOf(s, opts))
		}
		n.addPasses(prefix, r.Passes[from:])
		if s.Sheet != nil && len(s.Sheet.Assumed) > 0 {
			n.add("", assumed(s.Sheet, len(cars) > 1))
		}
	}
	r.Notes = list(doubtsFirst(n.all))
	return r
}

// carsOf are the names of the sources' cars, each once.
func carsOf(sources []Source) (names []string) {
	for i := range sources {
		if s := sources[i].Sheet; s != nil && s.Name != "" && !slices.Contains(names, s.Name) {
			names = append(names, s.Name)
		}
	}
	return names
}

func assumed(s *car.Sheet, named bool) string {
	text := "the car sheet does not state "
	if named {
		text = "the car sheet of " + s.Name + " does not state "
	}
	for i, a := range s.Assumed {
		if i > 0 {
			text += "; "
		}
		text += a
	}
	return text
}

func logInfo(l *logfile.Log, set *dictionary.Set) LogInfo {
	info := LogInfo{File: l.File, SHA256: l.SHA256, Start: words(l.Start), Channels: []Channel{}}
	if n := len(l.RowTime); n > 0 {
		info.DurationS = number(l.RowTime[n-1] - l.RowTime[0])
	}
	if set == nil {
		return info
	}
	for i := range set.Channels {
		c := &set.Channels[i]
		ch := Channel{
			Name: c.Name, Quantity: words(string(c.Quantity)), Unit: c.Unit,
			Problems: list(c.Problems),
		}
		if v := number(c.Confidence); v != nil {
			ch.Confidence = *v
		}
		if c.Index > 0 {
			ch.Index = &c.Index
		}
		if c.RateHz > 0 {
			ch.RateHz = number(c.RateHz)
		}
		info.Channels = append(info.Channels, ch)
	}
	return info
}

func passOf(p *pass.Pass, s *Source) Pass {
	var clock trace.Clock
	if s.Set != nil {
		clock = s.Set.Clock
	}
	out := Pass{
		File: s.Log.File, Index: p.Index, Complete: p.Complete,
		Splits: []Split{}, Gears: []Gear{}, Shifts: []Shift{},
		Sensors: list(p.Sensors), Notes: append([]string{}, p.Notes...),
	}
	out.LaunchS, out.LaunchSDS = instantPair(clock, &p.Launch)
	out.RolloutS, out.RolloutSDS = instantPair(clock, &p.Rollout)
	out.FinishS, out.FinishSDS = instantPair(clock, p.Finish)
	if p.Lift != nil {
		out.LiftS = instant(clock, *p.Lift)
	}
	if p.Length > 0 {
		out.DistanceM = number(p.Length)
	}
	for i := range p.Splits {
		out.Splits = append(out.Splits, splitOf(&p.Splits[i], clock))
	}
	out.Trap = trapOf(p.Trap, p.TrapWindow)
	out.TrapIfNoLift = trapOf(p.TrapIfNoLift, p.TrapWindow)
	out.TakeUp = takeUpOf(p.TakeUp, p.Launch.Value, clock, &p.Motion)
	for i := range p.Gears {
		out.Gears = append(out.Gears, gearOf(&p.Gears[i], clock, &p.Motion))
	}
	for i := range p.Shifts {
		out.Shifts = append(out.Shifts, shiftOf(&p.Shifts[i], clock, &p.Motion))
	}
	out.Power = powerOf(p.Power, clock)
	out.Air = airOf(p.Air)
	out.Grip = gripOf(p.Grip)
	out.AirPath = airPathOf(p.AirPath)
	out.Fuel = fuelOf(p.Fuel)
	return out
}
