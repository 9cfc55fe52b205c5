package web

import (
	"context"
	"fmt"
	"net/http"
	"runtime"

	"traplight/internal/app"
	"traplight/internal/surface"
)

// quickLook answers while a setting is dragged. It is there as soon as one pass was worked
// out in full, and sharpened behind the page.
type quickLook struct {
	*surface.Surface
	of  *app.Coming // worked out in full when it began
	job *job        // that sharpens it
}

// askFitted is what the form asks and the fit of its car; without a fit, nil, the request
// was answered: it is being made.
func (s *Server) askFitted(w http.ResponseWriter, r *http.Request) (*asked, *foretold, error) {
	a, err := s.ask(w, r)
	if err != nil {
		return nil, nil, err
	}
	m, key, err := s.shop.model(r.Context(), a.pass.Car)
	if err != nil {
		return nil, nil, err
	}
	if m == nil {
		return a, nil, s.waitFit(w, r, a.pass.Car, key)
	}
	return a, m, nil
}

// coming works the pass of the form out in full; nothing is written down.
func (s *Server) coming(w http.ResponseWriter, r *http.Request) error {
	a, m, err := s.askFitted(w, r)
	if m == nil {
		return err
	}
	l, err := s.inFull(r.Context(), m, a)
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, l)
}

// inFull works a pass out in full, and begins the quick look about it.
func (s *Server) inFull(ctx context.Context, m *foretold, a *asked) (*Live, error) {
	c, err := m.fitted.Coming(ctx, a.notes, a.planned, a.opt)
	if err != nil {
		return nil, wrong("%v", err)
	}
	l := liveOf(c, a.world)
	if c.Range == nil {
		return l, nil // nothing to drag
	}
	q, err := s.quick(m, a, c)
	if err != nil {
		return nil, err
	}
	c.Teach(q.Surface)
	if !q.job.now().Finished {
		l.Job = q.job.ID
	}
	return l, nil
}

// quick is the look about a pass; begun with c when there is none yet.
func (s *Server) quick(m *foretold, a *asked, c *app.Coming) (*quickLook, error) {
	at, err := m.fitted.SurfaceKey(a.notes, a.planned, a.opt.Bold)
	if err != nil {
		return nil, wrong("%v", err)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if q := m.surfaces[at]; q != nil || c == nil {
		return q, nil
	}
	q := &quickLook{of: c}
	if q.Surface, err = m.fitted.Surface(a.notes, a.planned, a.opt); err != nil {
		return nil, wrong("%v", err)
	}
	q.job, err = s.jobs.once(fmt.Sprintf("surface %p", q), "sharpening the quick look", func(ctx context.Context, j *job) (string, error) {
		// One processor stays free for those who look meanwhile.
		return "", q.Settle(ctx, max(1, runtime.GOMAXPROCS(0)-1), func(done, of int) { j.tell("sharpening the quick look", done, of) })
	})
	if err != nil {
		return nil, err
	}
	if len(m.surfaces) > 6 {
		clear(m.surfaces)
	}
	m.surfaces[at] = q
	return q, nil
}

// guess answers from the quick look; where there is none, or beyond it, in full.
func (s *Server) guess(w http.ResponseWriter, r *http.Request) error {
	a, m, err := s.askFitted(w, r)
	if m == nil {
		return err
	}
	q, err := s.quick(m, a, nil)
	if err != nil {
		return err
	}
	if q == nil || !q.Covers(a.planned.BoostTarget, a.planned.ShiftAim) {
		l, err := s.inFull(r.Context(), m, a)
		if err != nil {
			return err
		}
		return writeJSON(w, r, http.StatusOK, l)
	}
	g, err := q.At(r.Context(), a.planned.BoostTarget, a.planned.ShiftAim)
	if err != nil {
		return wrong("%v", err)
	}
	return writeJSON(w, r, http.StatusOK, guessOf(g, q.of, a.world))
}
