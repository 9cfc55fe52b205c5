package app

import (
	"context"
	"maps"
	"slices"
	"strings"

	"traplight/internal/health"
	"traplight/internal/store"
)

// mostLogs are how many logs of another car are looked at, those run last: more of them tell
// little more of how far it wanders and take a quarter of a second each.
const mostLogs = 12

// OtherCars are the logs, by their SHA-256, of the shop's other cars that tell what is usual
// for p: while its car has few clear passes before it, of cars with enough of their own, whose
// names stand beside. all are the passes of the shop.
func OtherCars(all []store.Pass, p store.Pass) (cars, logs []string) {
	own, clear := 0, map[string]int{}
	for _, o := range all {
		switch {
		case strings.EqualFold(o.Car, p.Car):
			if o.Verdict == string(health.Clear) && o.RunAt < p.RunAt {
				own++
			}
		case o.Verdict == string(health.Clear):
			clear[o.Car]++
		}
	}
	if own >= LeastOwn {
		return nil, nil
	}
	for _, name := range slices.Sorted(maps.Keys(clear)) {
		if clear[name] < LeastOther {
			continue
		}
		cars = append(cars, name)
		var of []string
		for _, o := range all {
			if o.Car == name && !slices.Contains(of, o.SHA256) {
				of = append(of, o.SHA256)
			}
		}
		logs = append(logs, of[max(0, len(of)-mostLogs):]...)
	}
	return cars, logs
}

// Beside has the passes held against the logs of the shop's other cars too.
func (q *HealthRequest) Beside(others *Named) {
	q.Shop, q.Cars = others.Logs, slices.Concat(q.Cars, others.Cars)
	of := maps.Clone(q.CarOf)
	if of == nil {
		of = map[string]string{}
	}
	maps.Copy(of, others.CarOf)
	q.CarOf = of
}

// Others are the files of the shop's other cars that tell what is usual for the passes that
// came by name, as the page holds them; nil where there are none. Close the result.
func (n *Named) Others(ctx context.Context, dir, program string) (*Named, error) {
	if len(n.Passes) == 0 {
		return nil, nil
	}
	s, err := OpenShop(ctx, dir, program, false)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	all, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, err
	}
	first := slices.MinFunc(n.Passes, func(a, b store.Pass) int { return strings.Compare(a.RunAt, b.RunAt) })
	_, logs := OtherCars(all, first)
	if len(logs) == 0 {
		return nil, nil
	}
	return Resolve(ctx, dir, program, logs, nil, "")
}
