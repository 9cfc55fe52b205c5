package forecast

import (
	"context"
	"math"

	"traplight/internal/fitcar"
)

// Part is what one thing that is not known adds to the spread of the trap speed.
type Part struct {
	Name string
	SD   float64 // m/s, of the trap speed when it alone varies
}

// parts names what varies and copies that, and nothing else, from one luck to another.
var parts = []struct {
	name string
	copy func(to, from *luck)
}{
	{"car", func(to, from *luck) { to.member = from.member }},
	{"launch", func(to, from *luck) { to.launch, to.ratio, to.line = from.launch, from.ratio, from.line }},
	{"shift speeds", func(to, from *luck) { to.over, to.shifted = from.over, from.shifted }},
	{"shift times", func(to, from *luck) { to.time = from.time }},
	{"wind", func(to, from *luck) { to.wind = from.wind }},
	{"air", func(to, from *luck) { to.density = from.density }},
	{"grip", func(to, from *luck) { to.grip, to.pressure, to.tyre = from.grip, from.pressure, from.tyre }},
	{"what the model misses", func(to, from *luck) { to.residual = from.residual }},
	{"answer to boost", func(to, from *luck) { to.response, to.thin, to.spring = from.response, from.thin, from.spring }},
	{"heat", func(to, from *luck) { to.cooler, to.heat = from.cooler, from.heat }},
	{"measured speeds", func(to, from *luck) { to.level = from.level }},
	{"other", func(to, from *luck) {
		to.nitrous, to.torque, to.spool, to.limit = from.nitrous, from.torque, from.spool, from.limit
	}},
}

// Parts tells what the spread of a forecast is made of: each thing that is not known varies
// alone over so many draws, the rest being as in the middle. The squares add up to the
// forecast's as far as the things do not act on each other.
func Parts(ctx context.Context, m *fitcar.Model, n *Next, draws int) ([]Part, error) {
	mean := *m
	mean.Members = append([]fitcar.Member{m.Mean}, m.Members...)
	var out []Part
	for _, p := range parts {
		runs, err := simulateWith(ctx, &mean, n, Options{Draws: draws}, func(l *luck) luck {
			middle := luck{typical: true}
			from := *l
			from.member = 1 + from.member%len(m.Members)
			p.copy(&middle, &from)
			if p.name == "launch" {
				middle.typical = false
			}
			return middle
		})
		if err != nil {
			return nil, err
		}
		var trap []float64
		for _, r := range runs {
			if !math.IsNaN(r.trap) {
				trap = append(trap, r.trap)
			}
		}
		if len(trap) > 1 {
			out = append(out, Part{p.name, summary(trap).SD})
		}
	}
	return out, nil
}
