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
// out in full, and is sharpened behind the page once a setting moves: a page that is only
// looked at needs none, and a laptop in the pits runs on its battery.
type quickLook struct {
	*surface.Surface
	of  *app.Coming // worked out in full when it began
	job *job        // that sharpens it; nil before a setting was moved

	taught map[*app.Coming]bool // what it has learnt from
}

// learn teaches what was worked out in full, once.
func (q *quickLook) learn(m *foretold, c *app.Coming) {
	m.mu.Lock()
	known := q.taught[c]
	q.taught[c] = true
	m.mu.Unlock()
	if !known {
		c.Teach(q.Surface)
	}
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
	c, err := m.inFull(ctx, a)
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
	q.learn(m, c)
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
	q := &quickLook{of: c, taught: map[*app.Coming]bool{}}
	if q.Surface, err = m.fitted.Surface(a.notes, a.planned, a.opt); err != nil {
		return nil, wrong("%v", err)
	}
	if len(m.surfaces) > 6 {
		clear(m.surfaces)
	}
	m.surfaces[at] = q
	return q, nil
}

// sharpen is the work that makes a quick look sharper, begun when it is first asked for. It
// ends when passes, sheet or notes have changed: what it makes would serve no more.
func (s *Server) sharpen(m *foretold, q *quickLook, car string) (*job, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if q.job != nil {
		return q.job, nil
	}
	var err error
	q.job, err = s.jobs.once(fmt.Sprintf("surface %p", q), "sharpening the quick look", func(ctx context.Context, j *job) (string, error) {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		stale := false
		// One processor stays free for those who look meanwhile.
		err := q.Settle(ctx, max(1, runtime.GOMAXPROCS(0)-1), func(done, of int) {
			j.tell("sharpening the quick look", done, of)
			if key, err := s.shop.app.ModelKey(ctx, car); err != nil || key != m.key {
				stale = true
				stop()
			}
		})
		if stale {
			return "", nil
		}
		return "", err
	})
	return q.job, err
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
	l := guessOf(g, q.of, a.world)
	if s.opt.Effort.Still {
		return writeJSON(w, r, http.StatusOK, l)
	}
	j, err := s.sharpen(m, q, a.pass.Car)
	if err != nil {
		return err
	}
	if !j.now().Finished {
		l.Job = j.ID
	}
	return writeJSON(w, r, http.StatusOK, l)
}
