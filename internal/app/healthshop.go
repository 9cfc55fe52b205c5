package app

import (
	"context"

	"traplight/internal/car"
	"traplight/internal/health"
	"traplight/internal/report"
)

// shopOf condenses the logs of the shop's other cars; nil without any.
func shopOf(ctx context.Context, q HealthRequest, notes *car.Notes, own string) (*health.Shop, error) {
	if len(q.Shop) == 0 {
		return nil, nil
	}
	a, err := Analyse(ctx, ReportRequest{Logs: q.Shop, Cars: q.Cars, Notes: q.Notes, CarOf: q.CarOf, Progress: q.Progress, lenient: true})
	if err != nil {
		return nil, err
	}
	var cars [][]health.Summary
	for _, name := range a.cars() {
		if name == own {
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
