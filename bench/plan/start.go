package main

import (
	"math"
	"path/filepath"

	"traplight/internal/demo"
	"traplight/internal/num/xrand"
)

// spinTime is how long, s, the tyres may be past their peak in a gear.
const spinTime = 0.05

const (
	firstShare = 0.92 // 1, of the usual absolute pressure: the crew has not gone to the edge yet
	leastShare = 0.74 // 1, how far down a crew goes to keep its limits
	room       = 0.03 // 1, of every limit, that it keeps
	roomHeat   = 12.0 // K, the same of the exhaust's temperature
	minBoost   = 20e3 // Pa
)

// newBench draws a car, its strip and its day, and the settings that its owner would run:
// down from the usual until the passes hold every limit with some room. A car that does
// not hold them even so is run at the first of them, as owners do who never looked.
func newBench(dir string, seed uint64, seeds int) *bench {
	b := &bench{seed: seed, seeds: seeds, car: demo.RandomCar(seed), strip: demo.HomeStrip()}
	b.dir = filepath.Join(dir, b.car.ID)
	b.air = demo.DrawWeather(b.strip, xrand.Sub(seed, "day"))
	for share := firstShare; share >= leastShare; share -= 0.03 {
		if b.set = b.at(share); b.holds() {
			b.sane = true
			return b
		}
	}
	b.set = b.at(firstShare)
	return b
}

// at are the usual settings with a share of the absolute pressure.
func (b *bench) at(share float64) demo.Settings {
	s := b.car.Usual()
	for g := range s.Boost {
		s.Boost[g] = max(minBoost, math.Round(share*(s.Boost[g]+1e5)/1e3)*1e3-1e5)
	}
	return s
}

// holds tells whether the judging passes keep every hard limit with some room.
func (b *bench) holds() bool {
	l := b.car.Limits()
	for k := range b.seeds {
		o := b.pass(b.set, k)
		if !o.Complete || o.MaxExhaust > l.ExhaustTemp-roomHeat {
			return false
		}
		for _, x := range o.Strains {
			if x.Share > 1 || x.Share > 1-room && x.Name != "exhaust temperature" {
				return false
			}
		}
	}
	return true
}
