package app

import (
	"context"
	"encoding/json"
	"fmt"

	"traplight/internal/report"
	"traplight/internal/store"
)

// ModelKey tells apart all that a car's model is fitted to.
func (s *Shop) ModelKey(ctx context.Context, name string) (string, error) {
	sheets, err := s.Sheets(ctx, name)
	if err != nil {
		return "", err
	}
	passes, err := s.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return "", err
	}
	entries, err := s.Entries(ctx, "")
	if err != nil {
		return "", err
	}
	settled, err := s.Corrections(ctx, name)
	if err != nil {
		return "", err
	}
	parts := []string{s.Program(), fmt.Sprint(settled)}
	for _, h := range sheets {
		parts = append(parts, h.SHA256)
	}
	for _, p := range passes {
		parts = append(parts, p.SHA256)
	}
	for _, e := range entries {
		if e.Kind != store.PlannedEntry {
			parts = append(parts, e.Body)
		}
	}
	return hashOf(parts...), nil
}

// Beside are the logs of the shop's other cars, by their SHA-256, that tell what is usual for
// p, none where they tell nothing, and the name under which the health answer worked out with
// them is kept. all are the passes of the shop.
func (s *Shop) Beside(ctx context.Context, all []store.Pass, p store.Pass) (logs []string, kept string, err error) {
	cars, logs := OtherCars(all, p)
	if len(logs) == 0 {
		return nil, "", nil
	}
	r, err := s.Result(ctx, p.SHA256)
	if err != nil {
		return nil, "", err
	}
	parts := []string{s.Program(), p.SHA256, r.Inputs}
	for _, name := range cars {
		k, err := s.ModelKey(ctx, name)
		if err != nil {
			return nil, "", err
		}
		parts = append(parts, k)
	}
	return logs, "beside-" + hashOf(parts...) + ".json", nil
}

// KeptHealth is a health answer that was worked out before; nil when it has to be worked out.
func (s *Shop) KeptHealth(name string) *HealthKept {
	f, ok := s.Cached(name)
	if !ok {
		return nil
	}
	defer f.Close()
	k := &HealthKept{}
	if json.NewDecoder(f).Decode(k) != nil {
		return nil
	}
	return k
}

// KeptBeside is the health of p beside the shop's other cars, where they tell something and it
// has been worked out; nil else. all are the passes of the shop.
func (s *Shop) KeptBeside(ctx context.Context, all []store.Pass, p store.Pass) *report.Health {
	logs, name, err := s.Beside(ctx, all, p)
	if err != nil || len(logs) == 0 {
		return nil
	}
	k := s.KeptHealth(name)
	if k == nil || p.Number >= len(k.Passes) {
		return nil
	}
	return k.Passes[p.Number]
}

// Verdict is the verdict that holds for p: beside the shop's other cars where that has been
// worked out, else by its own car's passes; pending tells that the other cars would tell
// something and have not been asked yet. all are the passes of the shop.
func (s *Shop) Verdict(ctx context.Context, all []store.Pass, p store.Pass) (word string, pending bool) {
	if h := s.KeptBeside(ctx, all, p); h != nil {
		return h.Word(), false
	}
	logs, _, err := s.Beside(ctx, all, p)
	return p.Verdict, err == nil && len(logs) > 0
}
