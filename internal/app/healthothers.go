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

// Beside has the passes held against the logs of the shop's other cars too; nil changes
// nothing.
func (q *HealthRequest) Beside(others *Named) {
	if others != nil {
		q.Shop, q.Cars, q.CarOf = others.Logs, slices.Concat(q.Cars, others.Cars), withOthers(q.CarOf, others.CarOf)
	}
}

// Beside has the passes held against the logs of the shop's other cars too; nil changes
// nothing.
func (q *ReportRequest) Beside(others *Named) {
	if others != nil {
		q.Shop, q.Cars, q.CarOf = others.Logs, slices.Concat(q.Cars, others.Cars), withOthers(q.CarOf, others.CarOf)
	}
}

// Beside has the last pass held against the logs of the shop's other cars too; nil changes
// nothing. Their sheets stay apart, since the last of Cars is the car as it will be run.
func (q *PlanRequest) Beside(others *Named) {
	if others != nil {
		q.Shop, q.ShopCars, q.ShopOf = others.Logs, others.Cars, others.CarOf
	}
}

// withOthers says of more logs whose they are.
func withOthers(of, others map[string]string) map[string]string {
	all := maps.Clone(of)
	if all == nil {
		all = map[string]string{}
	}
	maps.Copy(all, others)
	return all
}

// First is the pass run first of those that came by name; ok is false when none did.
func (n *Named) First() (p store.Pass, ok bool) {
	if len(n.Passes) == 0 {
		return p, false
	}
	return slices.MinFunc(n.Passes, byTime), true
}

// Last is the pass run last of those that came by name; ok is false when none did.
func (n *Named) Last() (p store.Pass, ok bool) {
	if len(n.Passes) == 0 {
		return p, false
	}
	return slices.MaxFunc(n.Passes, byTime), true
}

func byTime(a, b store.Pass) int { return strings.Compare(a.RunAt, b.RunAt) }

// Others are the files of the shop's other cars that tell what is usual for pass p of the
// store, as the page holds them; nil where there are none. Close the result.
func Others(ctx context.Context, dir, program string, p store.Pass) (*Named, error) {
	s, err := OpenShop(ctx, dir, program, false)
	if err != nil {
		return nil, err
	}
	defer s.Close()
	all, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, err
	}
	_, logs := OtherCars(all, p)
	if len(logs) == 0 {
		return nil, nil
	}
	return Resolve(ctx, dir, program, logs, nil, "")
}
