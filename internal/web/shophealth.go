package web

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"traplight/internal/app"
	"traplight/internal/health"
	"traplight/internal/report"
	"traplight/internal/store"
)

// keptHealth is a health answer from the cache; nil when it has to be worked out.
func (h *shop) keptHealth(key string) *app.HealthKept {
	f, ok := h.st.Cached(key)
	if !ok {
		return nil
	}
	defer f.Close()
	k := &app.HealthKept{}
	if json.NewDecoder(f).Decode(k) != nil {
		return nil
	}
	return k
}

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
func (s *Server) health(ctx context.Context, doing, sum string, others []string, key string) (*app.HealthKept, string) {
	if k := s.shop.keptHealth(key); k != nil {
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
	return s.shop.keptHealth(key), ""
}

// healthTrends are how a car's relations go from pass to pass.
func (s *Server) healthTrends(ctx context.Context, last store.Pass) (*app.HealthKept, string, error) {
	key, err := s.shop.modelKey(ctx, last.Car)
	if err != nil {
		return nil, "", err
	}
	k, job := s.health(ctx, "looking for what drifts on "+last.Car, last.SHA256, nil, "trends-"+hashOf(key)+".json")
	return k, job, nil
}

// others are the logs of the shop's other cars that tell what is usual for the pass; key tells
// apart what they are worked out from.
func (h *shop) others(ctx context.Context, p store.Pass) (logs []string, key string, err error) {
	all, err := h.st.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, "", err
	}
	cars, logs := app.OtherCars(all, p)
	for _, name := range cars {
		k, err := h.modelKey(ctx, name)
		if err != nil {
			return nil, "", err
		}
		key += " " + k
	}
	return logs, key, nil
}

// shopHealth is the health of a pass by the shop's other cars too; nil when they tell
// nothing, with the work that finds it out while it goes on.
func (s *Server) shopHealth(ctx context.Context, p store.Pass, inputs string) (*report.Health, string, error) {
	logs, others, err := s.shop.others(ctx, p)
	if err != nil || len(logs) == 0 {
		return nil, "", err
	}
	key := s.shop.healthName(p, inputs, others)
	k, job := s.health(ctx, fmt.Sprintf("holding %s against the shop's other cars", p.Name), p.SHA256, logs, key)
	if k == nil || p.Number >= len(k.Passes) {
		return nil, job, nil
	}
	return k.Passes[p.Number], "", nil
}

// verdict is the graver one of a pass's verdict by its own car and, where that is known
// already, by the shop's other cars too: what forbids a card must not be lost.
func (h *shop) verdict(ctx context.Context, p store.Pass) string {
	logs, others, err := h.others(ctx, p)
	if err != nil || len(logs) == 0 {
		return p.Verdict
	}
	_, inputs, err := h.report(ctx, p.SHA256)
	if err != nil {
		return p.Verdict
	}
	k := h.keptHealth(h.healthName(p, inputs, others))
	if k == nil || p.Number >= len(k.Passes) {
		return p.Verdict
	}
	return graver(p.Verdict, verdictIn(k.Passes[p.Number]))
}

func (h *shop) healthName(p store.Pass, inputs, others string) string {
	return "health-" + hashOf(h.program, p.SHA256, inputs, others) + ".json"
}

func verdictIn(h *report.Health) string {
	if h == nil || h.Verdict == nil {
		return ""
	}
	return *h.Verdict
}

// graver is the graver of two verdicts: "" is that nothing could be judged.
func graver(a, b string) string {
	order := []string{string(health.Clear), string(health.Inspect), "", string(health.StandDown)}
	if slices.Index(order, b) > slices.Index(order, a) {
		return b
	}
	return a
}
