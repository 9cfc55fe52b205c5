package app

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/pass"
	"traplight/internal/reconstruct"
	"traplight/internal/report"
)

// A history teaches, so what does not belong in it must not: the log itself, a log given
// twice, another car's. What is left out is told. a may be nil.

// vet leaves out of a history what does not belong there and says so.
func (a *Analysis) vet(now *Analysis) (told []string) {
	if a == nil {
		return nil
	}
	told = a.told
	seen := map[string]string{}
	for _, s := range now.Sources {
		seen[s.Log.SHA256] = s.Log.File
	}
	kept := a.Sources[:0:0]
	for _, s := range a.Sources {
		first, again := seen[s.Log.SHA256]
		own := again && slices.ContainsFunc(now.Sources, func(n report.Source) bool { return n.Log.SHA256 == s.Log.SHA256 })
		other := otherCar(s.Sheet, s.Passes)
		twin := twinOf(s, append(slices.Clone(now.Sources), kept...))
		switch {
		case own && first == s.Log.File:
			told = append(told, fmt.Sprintf("left out of the history: %s, the log itself", s.Log.File))
		case again:
			told = append(told, fmt.Sprintf("left out of the history: %s, byte for byte the same as %s", s.Log.File, first))
		case twin != "":
			told = append(told, fmt.Sprintf("left out of the history: %s, which holds the same passes as %s", s.Log.File, twin))
		case len(other) > 0:
			told = append(told, fmt.Sprintf("left out of the history: %s, %s", s.Log.File, other[0]))
		default:
			seen[s.Log.SHA256] = s.Log.File
			kept = append(kept, s)
			told = append(told, slipTrouble(s)...)
		}
	}
	a.Sources = kept
	return told
}

// twinOf is the log that holds the very passes of s, packed or converted; "" when none does.
func twinOf(s report.Source, among []report.Source) string {
	for _, o := range among {
		same := len(s.Passes) > 0 && len(o.Passes) == len(s.Passes) && s.Log.Start == o.Log.Start
		for i := range s.Passes {
			if !same {
				break
			}
			p, q := s.Passes[i], o.Passes[i]
			same = len(p.Splits) > 0 && len(p.Splits) == len(q.Splits) && math.Abs(p.Launch.Value-q.Launch.Value) < 1e-3
			for k := 0; same && k < len(p.Splits); k++ {
				// one log read twice differs by rounding and by what was known at the time
				same = math.Abs(p.Splits[k].Time.Value-q.Splits[k].Time.Value) < 1e-3
			}
		}
		if same {
			return o.Log.File
		}
	}
	return ""
}

// slipTrouble is what the passes of a history say against their timing slips.
func slipTrouble(s report.Source) (told []string) {
	for _, p := range s.Passes {
		for _, n := range p.Notes {
			if strings.Contains(n, "timing slip") {
				told = append(told, fmt.Sprintf("history, %s pass %d: %s", s.Log.File, p.Index+1, n))
			}
		}
	}
	return told
}

// of is the part of a history that is of one car; nil when there is none.
func (a *Analysis) of(name string) *Analysis {
	if a == nil {
		return nil
	}
	out := &Analysis{}
	for _, s := range a.Sources {
		if s.Sheet == nil || s.Sheet.Name == name {
			out.Sources = append(out.Sources, s)
		}
	}
	if len(out.Sources) == 0 {
		return nil
	}
	return out
}

// cars are the names of the sources' cars, each once.
func (a *Analysis) cars() (names []string) {
	for _, s := range a.Sources {
		if s.Sheet != nil && !slices.Contains(names, s.Sheet.Name) {
			names = append(names, s.Sheet.Name)
		}
	}
	return names
}

// vetGears leaves out what shows to be of another car once the passes are known.
func (a *Analysis) vetGears(now *Analysis, notes *car.Notes) (told []string) {
	kept := a.Sources[:0:0]
	for _, s := range a.Sources {
		if why := otherGearing(s, now); why != "" {
			told = append(told, fmt.Sprintf("left out of the history: %s, %s", s.Log.File, why))
			continue
		}
		if doubt := strangeNames(s, now, notes); doubt != "" {
			told = append(told, doubt)
		}
		kept = append(kept, s)
	}
	a.Sources = kept
	return told
}

// learn reconstructs the passes, with what each car's history has taught where there is one.
// What the passes themselves contradict is not believed, and is told.
func (a *Analysis) learn(ctx context.Context, notes *car.Notes, past *Analysis) error {
	if err := a.reconstruct(ctx, notes, func(*report.Source) reconstruct.Knowledge { return reconstruct.Knowledge{} }); err != nil {
		return err
	}
	if past == nil {
		return nil
	}
	a.told = append(past.vet(a), past.vetGears(a, notes)...)
	byCar := map[string]reconstruct.Knowledge{}
	for _, name := range a.cars() {
		own := past.of(name)
		if own == nil {
			continue
		}
		var sheet *car.Sheet
		var now []*pass.Pass
		for _, s := range a.Sources {
			if s.Sheet != nil && s.Sheet.Name == name {
				sheet = s.Sheet
				now = append(now, s.Passes...)
			}
		}
		k, doubts := reconstruct.LearnFor(now, sheet, own.passes())
		byCar[name] = k
		a.told = append(a.told, doubts...)
	}
	return a.reconstruct(ctx, notes, func(s *report.Source) reconstruct.Knowledge {
		if s.Sheet == nil {
			return reconstruct.Knowledge{}
		}
		return byCar[s.Sheet.Name]
	})
}

// tellPast puts what is to be told of the history among the notes of the first log.
func (a *Analysis) tellPast() {
	if len(a.Sources) > 0 {
		a.Sources[0].Notes = append(a.Sources[0].Notes, a.told...)
	}
}

// otherGearing says that a history's pass turns its engine otherwise at the same speed than
// the passes now do, each by its own sheet: another car whose gears fit by chance, or other
// gears or tyres than the sheet says.
func otherGearing(s report.Source, now *Analysis) string {
	const most = 0.03 // wear, pressure and heat move a tyre's radius by less than 2 % (common practice, no source)
	for _, p := range s.Passes {
		for _, n := range now.Sources {
			for _, q := range n.Passes {
				if s.Sheet == nil || n.Sheet == nil || s.Sheet.Name != n.Sheet.Name || p.Force == nil || q.Force == nil || !(p.Force.Radius > 0) || !(q.Force.Radius > 0) {
					continue
				}
				if off := p.Force.Radius/q.Force.Radius - 1; math.Abs(off) > most {
					return fmt.Sprintf("pass %d: by its sheet's gears its tyres would be %+.1f %% of those of %s: another car's log, or other gears or tyres than the sheet says?", p.Index+1, 100*off, n.Log.File)
				}
			}
		}
	}
	return ""
}

// strangeNames says that a log of the history names its channels quite differently from all
// of now's, and that no note says whose it is.
func strangeNames(s report.Source, now *Analysis, notes *car.Notes) string {
	const least = 0.2 // 1, shared names over all names
	names := func(s report.Source) map[string]bool {
		out := map[string]bool{}
		for _, c := range s.Set.Channels {
			out[c.Name] = true
		}
		return out
	}
	for _, p := range notes.OfLog(s.Log.File) {
		if p.Car != "" {
			return ""
		}
	}
	mine := names(s)
	for _, n := range now.Sources {
		both, all := 0, len(mine)
		for name := range names(n) {
			if mine[name] {
				both++
			} else {
				all++
			}
		}
		if float64(both) >= least*float64(all) {
			return ""
		}
	}
	return fmt.Sprintf("history, %s: it hardly shares a channel name with this log; is it of this car? car in the notes of the pass would say so", s.Log.File)
}
