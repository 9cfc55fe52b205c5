package reconstruct

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"traplight/internal/airpath"
	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/fuelling"
	"traplight/internal/motion"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Options of a reconstruction.
type Options struct {
	File        string        // name by which the notes know the log
	WithoutSlip bool          // leave the notes' timing slip out
	Priors      motion.Priors // what earlier passes settled of the sensors; zero means the defaults
	Known       Knowledge     // what the car's other passes say; zero means nothing
}

// Result is every pass of a log.
type Result struct {
	Passes []*pass.Pass
	Late   *pass.Pass // in a log without any other: the run in which it begins, without launch, marks and trap
	Notes  []string   // what could not be done for the log as a whole, a sentence each
}

// NoPass begins the note that says why a log holds no pass.
const NoPass = "no pass in the log"

// ErrNoSpeed says that no channel tells how the car moved.
var ErrNoSpeed = errors.New("no channel tells how the car moved: a satellite speed, a wheel speed, an accelerometer, or engine speed with the car sheet's gears is needed; columns without names can be told in [channels] of the sheet")

// Passes reconstructs every pass in a log. notes may be nil. It returns ErrNoSpeed
// when the log cannot tell motion; a log without a pass gives none and a note.
func Passes(set *dictionary.Set, sheet *car.Sheet, notes *car.Notes, opts Options) (*Result, error) {
	s := pick(set, sheet)
	out := &Result{Notes: s.notes}
	opts.Priors = priors(opts.Priors, sheet)
	if len(opts.Known.Constants) > 0 {
		opts.Priors.Known = opts.Known.Constants
	}
	var c *coarse
	if d := length(set); d < shortest {
		out.Notes = append(out.Notes, fmt.Sprintf(NoPass+": it is %.1f s long, shorter than any pass", d))
		return out, nil
	}
	if len(s.undriven)+len(s.driven)+len(s.sat) == 0 && s.still {
		out.Notes = append(out.Notes, NoPass+": its speed channels never move")
		return out, nil
	}
	if len(s.undriven)+len(s.driven)+len(s.sat) == 0 {
		switch how, ok := s.makeSpeed(sheet); {
		case s.accel != nil:
			out.Notes = append(out.Notes, "speed is by the accelerometer alone, added up from the standstill: its lean with the car leaves some per cent; a satellite or wheel speed would give it")
			s.driven, s.byEngine = nil, false
			c = s.rollUp()
		case ok:
			out.Notes = append(out.Notes, how)
			c = s.roughly()
		case namedSpeedsRest(set):
			out.Notes = append(out.Notes, NoPass+": its speed channels never move")
			return out, nil
		default:
			return nil, ErrNoSpeed
		}
	} else {
		c = s.roughly()
	}
	stretches, other, late := c.passes()
	if late != nil && len(stretches) == 0 && !s.byEngine && c.lasts(late) {
		if p, err := s.pass(c, *late, sheet, noteOf(notes, opts.File), car.DefaultStrip(), opts); err == nil && len(p.Gears) > 0 {
			out.Late = p
			return out, nil
		}
	}
	if late != nil {
		out.Notes = append(out.Notes, "the log begins with the car already moving; that movement has no launch and is not counted as a pass")
	}
	if len(stretches) == 0 {
		out.Notes = append(out.Notes, fmt.Sprintf(NoPass+": nothing pulls from a standstill beyond %.0f m/s (%s seen)", passSpeed, quantity.Count(other, "other movement", "other movements")))
		return out, nil
	}
	if other > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("%s (creeping to the line, burnouts, drives back) left out", quantity.Count(other, "other movement", "other movements")))
	}
	for _, st := range stretches {
		i := len(out.Passes)
		var note *car.PassNote
		strip := car.DefaultStrip()
		if notes != nil {
			note = notes.For(opts.File, i)
			if note != nil {
				strip = notes.StripFor(note)
			}
		}
		p, err := s.pass(c, st, sheet, note, strip, opts)
		if err != nil {
			out.Notes = append(out.Notes, fmt.Sprintf("a movement at %.1f s could not be reconstructed: %v", set.Clock.Log(st.move), err))
			continue
		}
		p.Index = i
		out.Passes = append(out.Passes, p)
	}
	return out, nil
}

// namedSpeedsRest tells that columns are there that are speeds by their names, and none of them moves:
// a car that only idled, or stood.
func namedSpeedsRest(set *dictionary.Set) bool {
	const rest = 2.0 // of any unit of speed that people use
	n := 0
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.ByName == quantity.Unknown || quantity.DimensionOf(c.ByName) != quantity.DimSpeed || c.Trace.Len() < 5 {
			continue
		}
		if slices.Max(c.Trace.V)-slices.Min(c.Trace.V) > rest {
			return false
		}
		n++
	}
	return n > 0
}

const (
	lateSpan = 2.0 // s of pull that a run without its launch must have left
	lateGain = 8.0 // m/s that it must gain
	latePull = 1.2 // m/s², mean acceleration that tells it from a drive
)

// lasts says whether enough is left of a run in which the log begins.
func (c *coarse) lasts(st *stretch) bool {
	gain, took := st.top-c.at(st.move+0.2), st.peak-st.move
	return took > lateSpan && gain > lateGain && gain > latePull*took
}

// noteOf is what the notes say of the first pass of a log, nil when nothing.
func noteOf(notes *car.Notes, file string) *car.PassNote {
	if notes == nil {
		return nil
	}
	return notes.For(file, 0)
}

const shortest = 4.0 // s, less than any pass takes to be one

// length is the time, s, from a log's first sample to its last.
func length(set *dictionary.Set) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range set.Channels {
		if n := c.Trace.Len(); n > 0 {
			lo, hi = math.Min(lo, c.Trace.T[0]), math.Max(hi, c.Trace.T[n-1])
		}
	}
	return math.Max(0, hi-lo)
}

// pass reconstructs one stretch.
func (s *signals) pass(c *coarse, st stretch, sheet *car.Sheet, note *car.PassNote, strip car.Strip, opts Options) (*pass.Pass, error) {
	p := &pass.Pass{Length: strip.Length, TrapWindow: strip.TrapWindow, Late: st.late}
	var slip *motion.Slip
	if !opts.WithoutSlip && !st.late {
		slip = timingSlip(note, strip)
		if slip != nil && s.byEngine {
			slip.StartSD = s.startSD(st)
		}
	}
	w, err := s.move(c, st, strip.Length, opts.Priors, slip, nil)
	if err != nil {
		return nil, err
	}
	p.Notes = append(p.Notes, w.res.Notes...)
	day, more := airpath.Air(s.set, note, w.launch)
	p.Air = day
	p.Notes = append(p.Notes, more...)
	b, prior, sur := body(sheet, note, strip, day, w)
	g := s.tabulate(w, sheet)
	d := s.findGears(w, g, sheet, b, sur)
	if len(s.undriven) == 0 {
		// second sweep: what drives also tells speed, where it does not spin; a third where
		// the second found the receiver later than was thought, since the start rests on it
		was := satLatency
		for range 2 {
			known := s.tell(w, g, d, b, sur)
			if known == nil {
				break
			}
			w2, err := s.move(c, st, strip.Length, opts.Priors, slip, known)
			if err != nil {
				break
			}
			w = w2
			g = s.tabulate(w, sheet)
			if s.byDriven() {
				// the wheels as they came time gears and shifts best; slip was worked out from a
				// speed with slip in it: once more
				d.keep(g, b, sur, known.grip)
				continue
			}
			d = s.findGears(w, g, sheet, b, sur)
			was = known.latency
			if now, sd, ok := w.res.Param("latency"); s.accel != nil || !ok || sd > 0.03 || math.Abs(now-was) < 0.015 {
				break
			}
		}
	}
	if d.kept && d.hasWheel {
		p.Notes = append(p.Notes, "speed is by the driven wheels alone, their slip worked out from how far they fall back in shifts: it is known to some per cent, and slip and ceilings are not given where they spin; an undriven wheel, a satellite speed or an accelerometer would give them")
	}
	p.Notes = append(p.Notes, g.notes...)
	s.marks(p, w, strip)
	s.tellScale(p, sheet)
	d.until(p)
	p.Learnt = pass.Learnt{Constants: w.res.Constants(), DragPrior: sheet.DragArea}
	p.Learnt.DragArea = d.coast(w, g, b, sur, prior).DragArea
	if k := opts.Known.DragArea; k != nil {
		prior.DragArea = *k
	}
	resist := d.coast(w, g, b, sur, prior)
	b.DragArea, b.Rolling, sur.Headwind, sur.Grade = resist.DragArea.Value, resist.Rolling.Value, resist.Headwind.Value, resist.Grade.Value
	curve := d.grip(g, b, sur, sheet, w)
	if curve.OK {
		b.Radius, b.Growth = curve.Radius.Value, curve.Growth.Value
		if d.hasWheel && !d.scaled {
			b.Radius = sheet.TyreRadius.Value // the wheel channel's scale is not the radius
		}
	}
	d.torque(g, b, sur)
	d.findShiftsAgain(g)
	d.fullThrottle(w, g, d.untilTime(p, w))
	s.fill(p, w, g, d, b, sur, sheet, resist, curve)
	p.Notes = append(p.Notes, airpath.Fill(p, s.set, sheet, note)...)
	p.Notes = append(p.Notes, fuelling.Fill(p, s.set, sheet, note, opts.Known.Efficiency)...)
	if p.Fuel != nil {
		p.Learnt.Efficiency = p.Fuel.Efficiency
	}
	s.limits(p)
	return p, nil
}
