package app

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"traplight/internal/car"
	"traplight/internal/health"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// shopOf condenses the logs of the shop's other cars, those of own left out; nil without any.
func shopOf(ctx context.Context, q ReportRequest, notes *car.Notes, own []string) (*health.Shop, error) {
	if len(q.Shop) == 0 {
		return nil, nil
	}
	a, err := Analyse(ctx, ReportRequest{Logs: q.Shop, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress, lenient: true})
	if err != nil {
		return nil, err
	}
	var cars [][]health.Summary
	for _, name := range a.cars() {
		if slices.Contains(own, name) {
			continue
		}
		var sources []report.Source
		var sheet *car.Sheet
		for _, s := range a.Sources {
			if s.Sheet != nil && s.Sheet.Name == name {
				sources, sheet = append(sources, s), s.Sheet
			}
		}
		clear, _ := health.Sift(recordsOf(&Analysis{Sources: sources}, notes), sheet)
		cars = append(cars, clear)
	}
	return health.NewShop(cars...), nil
}

// judgeBeside judges a pass against its car's own clear passes and, where shop is not nil,
// beside the shop's other cars too. The graver of the two judgements holds, since what
// forbids a card must not be lost; alone is the verdict by the car's own passes.
func judgeBeside(r health.Record, clear []health.Summary, sheet *car.Sheet, w quantity.World, shop *health.Shop) (j health.Judged, alone health.Verdict) {
	own := health.Judge(r, clear, sheet, health.Options{Units: w})
	if shop == nil {
		return own, own.Result.Verdict
	}
	j = health.Judge(r, clear, sheet, health.Options{Units: w, Shop: shop})
	if graver(own.Result.Verdict, j.Result.Verdict) {
		return own, own.Result.Verdict
	}
	return j, own.Result.Verdict
}

// graver says whether verdict a is graver than b; that nothing could be judged stands between
// 'inspect' and 'stand down', as it forbids a card.
func graver(a, b health.Verdict) bool {
	order := []health.Verdict{health.Clear, health.Inspect, health.None, health.StandDown}
	return slices.Index(order, a) > slices.Index(order, b)
}

// besideSaid says where the shop's other cars made a verdict graver; name is of the pass.
func besideSaid(name string, verdict, alone health.Verdict) []string {
	if verdict == alone {
		return nil
	}
	return []string{fmt.Sprintf("%s: judged '%s' beside the shop's other cars; by this car's own passes alone: %s. The graver of the two holds for the card", name, verdict, cmp.Or(string(alone), "not judged"))}
}
