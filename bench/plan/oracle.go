package main

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"traplight/internal/demo"
)

const (
	oracleSeeds = 4    // passes by which the oracle judges one set of settings
	softOften   = 0.25 // 0–1, share of them that may pass a soft limit in a gear
)

// oracle optimises boost by gear and shift speeds on the generator itself: what it
// finds is kept, since it does not depend on the plan.
func (b *bench) oracle(ctx context.Context) (demo.Settings, error) {
	path := filepath.Join(b.dir, "oracle.json")
	s := b.set
	if raw, err := os.ReadFile(path); err == nil {
		return s, json.Unmarshal(raw, &s)
	}
	_, was := b.run(b.set, oracleSeeds)
	s = b.climb(ctx, was)
	if ctx.Err() != nil {
		return s, ctx.Err()
	}
	raw, err := json.Marshal(s)
	if err != nil {
		return s, err
	}
	return s, os.WriteFile(path, raw, 0o644)
}

// allowed tells whether passes hold the limits: no hard one passed, soft ones as
// seldom as is accepted or as often as the settings run did.
func allowed(outs, was []demo.Outcome) bool {
	often := func(outs []demo.Outcome, g int) int {
		n := 0
		for _, o := range outs {
			if o.PastPeak[g] > 0.05 {
				n++
			}
		}
		return n
	}
	for _, o := range outs {
		if len(o.Exceeded) > 0 || !o.Complete {
			return false
		}
	}
	for g := range outs[0].PastPeak {
		if float64(often(outs, g)) > max(softOften*float64(len(outs)), float64(often(was, g))) {
			return false
		}
	}
	return true
}

// climb is a coordinate search with shrinking steps; a move that helped is repeated.
func (b *bench) climb(ctx context.Context, was []demo.Outcome) demo.Settings {
	s := b.set
	clone := func() demo.Settings {
		y := s
		y.Boost, y.ShiftSpeed = slices.Clone(s.Boost), slices.Clone(s.ShiftSpeed)
		return y
	}
	best, outs := b.run(s, oracleSeeds)
	if !allowed(outs, was) {
		best = 0 // what was run is not allowed itself
	}
	try := func(change func(y *demo.Settings)) bool {
		if ctx.Err() != nil {
			return false
		}
		y := clone()
		change(&y)
		if v, outs := b.run(y, oracleSeeds); v > best+0.01 && allowed(outs, was) {
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
