package airpath

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

const (
	// How well a target that somebody wrote down, or that the log has, is known,
	// Pa. Rounded to 1 kPa by custom.
	statedTargetSD = 400.0
	// A car's usual boost may not be what was set for this pass, share. Common
	// practice, no source.
	usualTargetSD = 0.08
	// A level at which boost stayed is the target to about this share.
	learntTargetSD = 0.01
)

// target is the boost aimed at, Pa gauge.
type target struct {
	quantity.Estimate
	stated bool // in the notes or the log
	learnt bool // seen as the level at which boost stayed, in the sensor's own reading
}

type targets struct {
	channel *dictionary.Channel
	noted   []float64
	usual   []float64
	learned map[int]target
	notes   []string
}

// findTargets gathers where targets can come from, best first: the log's channel,
// the notes, and, after learn, the level at which boost stayed, the car's usual
// boost.
func findTargets(set *dictionary.Set, sheet *car.Sheet, note *car.PassNote) *targets {
	ts := &targets{channel: set.First(quantity.BoostTarget), learned: map[int]target{}}
	if note != nil {
		ts.noted = note.BoostTarget
	}
	if sheet != nil {
		ts.usual = sheet.UsualBoost
	}
	return ts
}

// of gives the target of a gear, in which the car was between start and end, s.
func (ts *targets) of(gear int, start, end float64) (target, bool) {
	if ts.channel != nil {
		// The schedule may follow engine speed within the gear: its upper middle is
		// what boost has to come back to.
		if x := ts.channel.Trace.Slice(start, end); x.Len() > 0 {
			return target{Estimate: quantity.Estimate{Value: stats.Median(x.V), SD: statedTargetSD}, stated: true}, true
		}
	}
	if gear >= 1 && gear <= len(ts.noted) && ts.noted[gear-1] > 0 {
		return target{Estimate: quantity.Estimate{Value: ts.noted[gear-1], SD: statedTargetSD}, stated: true}, true
	}
	if t, ok := ts.learned[gear]; ok {
		return t, true
	}
	if gear >= 1 && gear <= len(ts.usual) && ts.usual[gear-1] > 0 {
		v := ts.usual[gear-1]
		return target{Estimate: quantity.Estimate{Value: v, SD: usualTargetSD * v}}, true
	}
	return target{}, false
}

// learn takes the level at which boost stayed for the target of gears for which
// none is written down, and compares the others with it.
func (ts *targets) learn(p *pass.Pass, b *boost) []string {
	var notes []string
	for i := range p.Gears {
		g := &p.Gears[i]
		known, ok := ts.of(g.Gear, g.Start, g.End)
		if ok && known.stated {
			continue
		}
		level, seen := b.settled(*g, math.NaN())
		if !seen || level < 10e3 {
			continue
		}
		t := target{Estimate: quantity.Estimate{Value: level - b.offset, SD: math.Hypot(learntTargetSD*level, b.offsetSD)}, learnt: true}
		ts.learned[g.Gear] = t
		g.BoostTarget = &t.Value
		if ok && math.Abs(known.Value-t.Value) > 0.1*known.Value {
			notes = append(notes, fmt.Sprintf("gear %d: boost settled at %.0f kPa, the car's usual target is %.0f kPa; the settled level is taken for the target of this pass",
				g.Gear, t.Value/1e3, known.Value/1e3))
		}
	}
	if len(ts.learned) > 0 {
		notes = append(notes, "boost targets: taken from where boost settled; boost_target_kpa_by_gear in the notes would state them")
	}
	return notes
}

// reading is the target in the sensor's own reading with its spread, Pa gauge.
// Where boost has settled near it, that level says how this sensor reads when the
// control is satisfied, whichever sensor the control itself trusts.
func (ts *targets) reading(g *pass.GearSpan, b *boost) (quantity.Estimate, bool) {
	t, ok := ts.of(g.Gear, g.Start, g.End)
	if !ok {
		return quantity.Estimate{}, false
	}
	if t.learnt {
		return quantity.Estimate{Value: t.Value + b.offset, SD: learntTargetSD * t.Value}, true
	}
	return quantity.Estimate{Value: t.Value + b.offset, SD: math.Hypot(t.SD, b.offsetSD)}, true
}
