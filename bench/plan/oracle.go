package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"traplight/internal/demo"
)

// oracleSeeds is the number of passes by which the oracle judges one set of settings
// on its way; what it ends with must hold the limits in all passes of the bench.
const oracleSeeds = 4

// softOften is the share of passes, 0–1, that may pass a soft limit in a gear: the risk
// that the plan accepts.
const softOften = 0.1

// oracle optimises boost by gear and shift speeds on the generator itself: what it
// finds is kept, since it does not depend on the plan.
func (b *bench) oracle(ctx context.Context) (demo.Settings, error) {
	path := filepath.Join(b.dir, "oracle.json")
	s := clone(b.set)
	if raw, err := os.ReadFile(path); err == nil {
		return s, json.Unmarshal(raw, &s)
	}
	_, was := b.run(b.set, b.seeds)
	s = b.settle(ctx, b.climb(ctx, was), was)
	if ctx.Err() != nil {
		return s, ctx.Err()
	}
	raw, err := json.Marshal(s)
	if err != nil {
		return s, err
	}
	return s, os.WriteFile(path, raw, 0o644)
}

// often is how many passes went past the tyres' peak in gear g (from 0).
func often(outs []demo.Outcome, g int) (n int) {
	for _, o := range outs {
		if o.PastPeak[g] > spinTime {
			n++
		}
	}
	return n
}

// spins tells whether gear g (from 0) goes past the tyres' peak more often than is
// accepted, and than the settings run did in the same passes.
func spins(outs, was []demo.Outcome, g int) bool {
	return float64(often(outs, g)) > max(softOften*float64(len(outs)), float64(often(was[:len(outs)], g)))
}

// breaks tells whether any pass went past a hard limit or did not reach the line.
func breaks(outs []demo.Outcome) bool {
	return slices.ContainsFunc(outs, func(o demo.Outcome) bool { return len(o.Exceeded) > 0 || !o.Complete })
}

// trial is the mean trap speed of n passes, m/s; 0 as soon as they do not hold the
// limits.
func (b *bench) trial(s demo.Settings, n int, was []demo.Outcome) float64 {
	var outs []demo.Outcome
	mean := 0.0
	for k := range n {
		o := b.pass(s, k)
		if outs = append(outs, o); breaks(outs[k:]) {
			return 0
		}
		mean += o.Trap / float64(n)
	}
	for g := range outs[0].PastPeak {
		if spins(outs, was, g) {
			return 0
		}
	}
	return mean
}

// clone is a copy that may be changed.
func clone(s demo.Settings) demo.Settings {
	s.Boost, s.ShiftSpeed = slices.Clone(s.Boost), slices.Clone(s.ShiftSpeed)
	return s
}

// climb is a coordinate search with shrinking steps; a move that helped is repeated.
func (b *bench) climb(ctx context.Context, was []demo.Outcome) demo.Settings {
	s := clone(b.set)
	best := b.trial(s, oracleSeeds, was)
	try := func(change func(y *demo.Settings)) bool {
		if ctx.Err() != nil {
			return false
		}
		y := clone(s)
		change(&y)
		if v := b.trial(y, oracleSeeds, was); v > best+0.01 {
			s, best = y, v
			return true
		}
		return false
	}
	step, turn := 32e3, 30.0
	for range 4 {
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

// settle takes boost from what was found under few passes until it holds the limits in
// all of the bench's: from a gear that spins, or from all that were raised.
func (b *bench) settle(ctx context.Context, s demo.Settings, was []demo.Outcome) demo.Settings {
	const least = 3e3 // Pa
	for range 20 {
		_, outs := b.run(s, b.seeds)
		broke := breaks(outs)
		moved := false
		for g := range s.Boost {
			if s.Boost[g] > b.set.Boost[g] && (broke || spins(outs, was, g)) {
				s.Boost[g] = max(b.set.Boost[g], s.Boost[g]-least)
				moved = true
			}
		}
		if !moved || ctx.Err() != nil {
			break
		}
	}
	return s
}
