package web

import (
	"context"

	"traplight/internal/report"
	"traplight/internal/store"
)

// fitView is what the first screen says about a pass besides its verdict.
type fitView struct {
	Found     string   // the likeliest cause in words; "" nothing was found
	LookAt    []string // what to look at first
	NotJudged []string
	Missed    int    // of the turn-round list, not done
	Inspected string // what was found since; "" nothing was entered
}

// fitOf is that of a pass: by the shop's other cars where they are known to tell more.
func (s *Server) fitOf(ctx context.Context, p store.Pass) (v fitView) {
	_, missed := s.shop.ticks(ctx, p.Car, p.Name)
	v.Missed = len(missed)
	if seen, err := s.shop.st.Inspections(ctx, p.Name); err == nil && len(seen) > 0 {
		v.Inspected = sentence(seen[len(seen)-1].Found)
	}
	h := s.shop.healthOf(ctx, p)
	if h == nil {
		return v
	}
	v.NotJudged = report.Unjudged(h.NotJudged)
	if len(h.Findings) > 0 {
		v.Found = fitLine(h)
	}
	v.LookAt = lookFirst(h)
	return v
}

// lookFirst is what to look at for the likeliest cause.
func lookFirst(h *report.Health) []string {
	if h == nil || len(h.Findings) == 0 {
		return nil
	}
	return h.Findings[0].LookAt
}

// healthOf is the health of a pass by its own car or, where that is worked out already, by the
// shop's other cars too; nil where it was not judged or cannot be read.
func (h *shop) healthOf(ctx context.Context, p store.Pass) *report.Health {
	rep, _, err := h.report(ctx, p.SHA256)
	if err != nil || p.Number >= len(rep.Passes) {
		return nil
	}
	if all, err := h.st.Passes(ctx, store.Filter{}); err == nil {
		if beside := h.app.KeptBeside(ctx, all, p); beside != nil {
			return beside
		}
	}
	return rep.Passes[p.Number].Health
}
