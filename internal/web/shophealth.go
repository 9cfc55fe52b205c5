package web

import (
	"context"
	"encoding/json"
	"fmt"

	"traplight/internal/app"
	"traplight/internal/report"
	"traplight/internal/store"
)

// workHealth judges a log as the command line does and keeps the answer; others are logs of
// the shop's other cars.
func (h *shop) workHealth(ctx context.Context, j *job, sum string, others []string, key string) error {
	n, err := app.Resolve(ctx, h.st.Dir(), h.program, []string{sum}, nil, "")
	if err != nil {
		return err
	}
	defer n.Close()
	q := app.HealthRequest{Logs: n.Logs, Cars: n.Cars, Notes: n.Notes, CarOf: n.CarOf, History: n.History, Progress: func(log string, done, of int) { j.tell("looking at "+log, done, of) }}
	if len(others) > 0 {
		o, err := app.Resolve(ctx, h.st.Dir(), h.program, others, nil, "")
		if err != nil {
			return err
		}
		defer o.Close()
		q.Beside(o)
	}
	a, err := app.Health(ctx, q)
	if err != nil {
		return err
	}
	data, err := json.Marshal(a.Kept())
	if err != nil {
		return err
	}
	return h.st.PutCached(key, writerOf(data))
}

// health gives a kept health answer, or the work that makes it; both are nothing when it
// could not be made.
func (s *Server) health(doing, sum string, others []string, key string) (*app.HealthKept, string) {
	if k := s.shop.app.KeptHealth(key); k != nil {
		return k, ""
	}
	j, err := s.jobs.once(key, doing, func(ctx context.Context, j *job) (string, error) {
		return "", s.shop.workHealth(ctx, j, sum, others, key)
	})
	if err != nil {
		return nil, ""
	}
	if now := j.now(); !now.Finished {
		return nil, now.ID
	}
	return s.shop.app.KeptHealth(key), ""
}

// healthTrends are how a car's relations go from pass to pass.
func (s *Server) healthTrends(ctx context.Context, last store.Pass) (*app.HealthKept, string, error) {
	key, err := s.shop.app.ModelKey(ctx, last.Car)
	if err != nil {
		return nil, "", err
	}
	k, job := s.health("looking for what drifts on "+last.Car, last.SHA256, nil, "trends-"+hashOf(key)+".json")
	return k, job, nil
}

// shopHealth is the health of a pass by the shop's other cars too; nil when they tell
// nothing, with the work that finds it out while it goes on.
func (s *Server) shopHealth(ctx context.Context, p store.Pass) (*report.Health, string, error) {
	all, err := s.shop.st.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, "", err
	}
	logs, key, err := s.shop.app.Beside(ctx, all, p)
	if err != nil || len(logs) == 0 {
		return nil, "", err
	}
	k, job := s.health(fmt.Sprintf("holding %s against the shop's other cars", p.Name), p.SHA256, logs, key)
	if k == nil || p.Number >= len(k.Passes) {
		return nil, job, nil
	}
	return k.Passes[p.Number], "", nil
}

// verdict is the one that holds for a pass: what forbids a card must not be lost.
func (h *shop) verdict(ctx context.Context, p store.Pass) string {
	all, err := h.st.Passes(ctx, store.Filter{})
	if err != nil {
		return p.Verdict
	}
	word, _ := h.app.Verdict(ctx, all, p)
	return word
}
