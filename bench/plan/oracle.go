package main

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"traplight/internal/demo"
	"traplight/internal/num/xrand"
)

// The oracle knows the car to the last percent and the luck of the judging passes as little as
// the plan: it climbs on the generator under luck of its own, holding the limits as the design
// asks a plan to.
const (
	onTheWay   = 6    // passes by which it judges one set of settings on its way
	nearTheEnd = 12   // the same of its last steps
	atTheEnd   = 24   // passes in which what it ends with holds the limits
	betterBy   = 0.01 // m/s
	oracleLaw  = "5"  // changes with the limits and the search: kept findings of others are not taken
)

// hunt is one oracle's work.
type hunt struct {
	bench    *bench
	ran      []demo.Outcome    // with the settings run, under the oracle's luck
	scatter  map[string]strain // of these
	accepted float64           // 0–1, of passing any hard limit
}

// found is what an oracle ended with.
type found struct {
	Settings demo.Settings
	Trap     float64 // m/s, mean under its own luck
}

// oracle optimises boost by gear and shift speeds on the generator itself, from the settings
// run and, where there is one, from the plan's; the better counts. told says what each found.
func (b *bench) oracle(ctx context.Context, plan *demo.Settings) (s demo.Settings, told string, err error) {
	h := &hunt{bench: b}
	best, err := h.kept(ctx, b.set)
	told = fmt.Sprintf("from the settings run %.2f", best.Trap)
	if err == nil && plan != nil {
		var other found
		other, err = h.kept(ctx, *plan)
		told += fmt.Sprintf(", from the plan %.2f m/s in its own passes", other.Trap)
		if other.Trap > best.Trap {
			best = other
		}
	}
	return best.Settings, told, err
}

// kept is what was found from a start before, or is found now.
func (h *hunt) kept(ctx context.Context, from demo.Settings) (f found, err error) {
	b := h.bench
	key, err := json.Marshal([]any{oracleLaw, onTheWay, nearTheEnd, atTheEnd, b.set, from})
	if err != nil {
		return f, err
	}
	path := filepath.Join(b.dir, fmt.Sprintf("oracle-%x.json", sha256.Sum256(key))[:23]+".json")
	if raw, err := os.ReadFile(path); err == nil {
		return f, json.Unmarshal(raw, &f)
	}
	if h.ran == nil {
		h.ran = h.run(b.set, atTheEnd)
		h.scatter = strains(h.ran)
		h.accepted = max(hardChance, over(h.ran, h.scatter))
	}
	f.Settings, f.Trap = clone(b.set), mean(h.ran)
	s := h.climb(ctx, h.retreat(ctx, from), onTheWay, 32e3, 4)
	s = h.retreat(ctx, h.climb(ctx, h.retreat(ctx, s), nearTheEnd, 6e3, 2))
	for _, s := range []demo.Settings{s, h.restore(ctx, s)} {
		for share := 1.0; share > 0.05 && ctx.Err() == nil; share -= 0.1 { // where nothing else helps, part of the way
			y := h.between(s, share)
			if outs := h.run(y, atTheEnd); h.lawful(y, outs) {
				if mean(outs) > f.Trap {
					f = found{y, mean(outs)}
				}
				break
			}
		}
	}
	if ctx.Err() != nil {
		return f, ctx.Err()
	}
	raw, err := json.Marshal(f)
	if err != nil {
		return f, err
	}
	return f, os.WriteFile(path, raw, 0o644)
}

// pass is pass k of the oracle's own luck.
func (h *hunt) pass(s demo.Settings, k int) demo.Outcome {
	return demo.Run(h.bench.car, h.bench.options(s), xrand.Sub(h.bench.seed, fmt.Sprintf("oracle/%d", k)))
}

func (h *hunt) run(s demo.Settings, n int) (outs []demo.Outcome) {
	for k := range n {
		outs = append(outs, h.pass(s, k))
	}
	return outs
}

func mean(outs []demo.Outcome) (trap float64) {
	for _, o := range outs {
		trap += o.Trap / float64(len(outs))
	}
	return trap
}

// trial is the mean trap speed of n passes, m/s; 0 where they do not hold the limits, or are
// hopeless by the first two against those of the best so far, early, which are given back.
func (h *hunt) trial(s demo.Settings, n int, best, early float64) (trap, first float64) {
	var outs []demo.Outcome
	for k := range n {
		outs = append(outs, h.pass(s, k))
		if k == 1 {
			first = mean(outs)
			if over(outs, h.scatter) > 10*h.accepted || best > 0 && first < early-3*betterBy {
				return 0, first
			}
		}
	}
	if !h.lawful(s, outs) {
		return 0, first
	}
	return mean(outs), first
}

// between are settings a share, 1, of the way from those run to s.
func (h *hunt) between(s demo.Settings, share float64) demo.Settings {
	y, was := clone(s), h.bench.set
	for g := range y.Boost {
		y.Boost[g] = was.Boost[g] + share*(s.Boost[g]-was.Boost[g])
	}
	for g := range y.ShiftSpeed {
		y.ShiftSpeed[g] = was.ShiftSpeed[g] + share*(s.ShiftSpeed[g]-was.ShiftSpeed[g])
	}
	return y
}

// clone is a copy that may be changed.
func clone(s demo.Settings) demo.Settings {
	s.Boost, s.ShiftSpeed = slices.Clone(s.Boost), slices.Clone(s.ShiftSpeed)
	return s
}

// climb is a coordinate search with shrinking steps, Pa, judged by n passes; a move that
// helped is repeated.
func (h *hunt) climb(ctx context.Context, s demo.Settings, n int, step float64, rounds int) demo.Settings {
	s = clone(s)
	best, early := h.trial(s, n, 0, 0)
	try := func(change func(y *demo.Settings)) bool {
		if ctx.Err() != nil {
			return false
		}
		y := clone(s)
		change(&y)
		if v, first := h.trial(y, n, best, early); v > best+betterBy {
			s, best, early = y, v, first
			return true
		}
		return false
	}
	turn := step / 32e3 * 30
	for range rounds {
		for g := range s.Boost {
			for _, d := range []float64{step, -step} {
				moved := false
				for range 4 {
					if !try(func(y *demo.Settings) { y.Boost[g] = max(0, y.Boost[g]+d) }) {
						break
					}
					moved = true
				}
				if moved {
					break
				}
			}
		}
		for g := range s.ShiftSpeed {
			for _, d := range []float64{turn, -turn} {
				if try(func(y *demo.Settings) { y.ShiftSpeed[g] += d }) {
					break
				}
			}
		}
		step, turn = step/2, turn/2
	}
	return s
}

// restore puts gears that pass a soft limit too often back to what was run, and the shifts into and
// out of them: what few passes on the way did not show.
func (h *hunt) restore(ctx context.Context, s demo.Settings) demo.Settings {
	s = clone(s)
	was := h.bench.set
	for range s.Boost {
		outs := h.run(s, atTheEnd)
		if ctx.Err() != nil {
			break
		}
		y := clone(s)
		for g := range s.Boost {
			if !h.soft(s, outs, g) {
				continue
			}
			y.Boost[g] = was.Boost[g]
			for k := max(0, g-1); k <= g && k < len(was.ShiftSpeed); k++ {
				y.ShiftSpeed[k] = was.ShiftSpeed[k]
			}
		}
		if slices.Equal(y.Boost, s.Boost) && slices.Equal(y.ShiftSpeed, s.ShiftSpeed) {
			break
		}
		s = y
	}
	return s
}

// retreat takes boost back until the oracle's passes hold the limits: from a gear that
// passes a soft one, else from the gear that gives most chance back for the speed it costs,
// never below what was run.
func (h *hunt) retreat(ctx context.Context, s demo.Settings) demo.Settings {
	const least, far = 4e3, 12e3 // Pa
	step := least
	s = clone(s)
	lower := func(g int) (demo.Settings, bool) {
		y := clone(s)
		if y.Boost[g] <= h.bench.set.Boost[g] {
			return y, false
		}
		y.Boost[g] = max(h.bench.set.Boost[g], y.Boost[g]-step)
		return y, true
	}
	for range 40 {
		outs := h.run(s, atTheEnd)
		moved := false
		for g := range s.Boost {
			if h.soft(s, outs, g) {
				if y, ok := lower(g); ok {
					s, moved = y, true
				}
			}
		}
		if !moved && h.broken(outs) {
			now, chance := mean(outs[:onTheWay]), over(outs[:onTheWay], h.scatter)
			step = least
			if chance > 0.5 {
				step = far
			}
			most, pick := 0.0, s
			for g := range s.Boost {
				y, ok := lower(g)
				if !ok {
					continue
				}
				o := h.run(y, onTheWay)
				// by its normal score, since far over the limits every chance is near 1
				if back := (score(over(o, h.scatter)) - score(chance)) / max(0.005, now-mean(o)); !moved || back > most {
					most, pick, moved = back, y, true
				}
			}
			s = pick
		}
		if !moved || ctx.Err() != nil {
			break
		}
	}
	return s
}
