package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/store"
)

func writerOf(data []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}
}

// notesHead is the head of a table of the notes.
var notesHead = regexp.MustCompile(`(?m)^\s*\[\[\s*(pass|planned|strip|event)\s*\]\]`)

// taken is what files brought.
type taken struct {
	passes []string // their names
	parts  string   // the car whose parts they listed; "" none
	any    bool     // some file was taken in
}

// take takes files in as `traplight add` does.
// Without files it works out again what a change of sheet, notes or channels concerns.
func (h *shop) take(ctx context.Context, j *job, paths []string, said string) (got taken, err error) {
	var told []error
	failed := 0
	failed, err = h.app.Add(ctx, app.AddRequest{Paths: paths, Car: said}, func(a app.Added) {
		switch {
		case a.Err != nil:
			told = append(told, onPage(a.Err))
		case a.Kind == "log" && a.Outcome == string(store.InTrash):
			told = append(told, fmt.Errorf("%s was removed before; it is in the trash", a.File))
		case a.Kind == "log" && len(a.Passes) == 0:
			told = append(told, fmt.Errorf("%s holds no pass: no standing start followed by a run was seen; it is kept all the same", a.File))
		}
		got.passes = append(got.passes, a.Passes...)
		got.any = got.any || a.Err == nil
		if a.Kind == "parts" && a.Err == nil {
			got.parts = a.Car
		}
		if a.File != "" {
			j.tell(a.File, min(a.Done, max(a.Total-1, 0)), a.Total)
		}
	})
	h.forget()
	if err != nil {
		return got, err
	}
	if adopted, err := h.adopt(ctx, got.passes); err != nil {
		return got, err
	} else if adopted {
		if _, err := h.app.Add(ctx, app.AddRequest{}, func(app.Added) {}); err != nil {
			return got, err
		}
	}
	if failed > 0 && len(told) == 0 {
		told = append(told, fmt.Errorf("%d of the files could not be added", failed))
	}
	return got, errors.Join(told...)
}

// onPage adds what helps on the page, where it is another thing than on the command line.
func onPage(err error) error {
	switch {
	case errors.Is(err, app.ErrNoSheetYet):
		return fmt.Errorf("%w; drop the car's sheet with it, or write one among the cars first", err)
	case errors.Is(err, app.ErrWhose):
		return fmt.Errorf("%w; choose the car beside the file, or drop the notes with it", err)
	}
	return err
}

// again works out what a change concerns.
func (h *shop) again(ctx context.Context, j *job) error {
	_, err := h.take(ctx, j, nil, "")
	return err
}

// work is done behind a page; it gives the page with the answer.
type work func(ctx context.Context, j *job) (string, error)

// intake takes files in and leads to the answers.
func (s *Server) intake(paths []string, said string) work {
	return func(ctx context.Context, j *job) (string, error) {
		got, err := s.shop.take(ctx, j, paths, said)
		switch {
		case len(got.passes) == 1:
			return "/passes/" + url.PathEscape(got.passes[0]), err
		case len(got.passes) == 0 && got.parts != "" && err == nil:
			return "/cars/" + url.PathEscape(got.parts) + "/parts", nil
		case len(got.passes) == 0 && err == nil:
			return "/cars", nil
		case !got.any:
			return "", err
		}
		return "/", err
	}
}

// intakeDemo takes the invented shop in.
func (s *Server) intakeDemo(seed uint64) work {
	return func(ctx context.Context, j *job) (string, error) {
		dir, err := os.MkdirTemp("", "traplight-demo-")
		if err != nil {
			return "", err
		}
		defer os.RemoveAll(dir)
		shop := filepath.Join(dir, "shop")
		if _, _, err := app.Demo(ctx, app.DemoRequest{Seed: seed, Save: shop, Pass: 1}); err != nil {
			return "", err
		}
		_, err = s.shop.take(ctx, j, []string{shop}, "")
		return "/", err
	}
}

// adopt takes a new pass of which nothing was written down for the one that was planned
// after the car's pass before: its settings and weather are those of the plan, until the
// crew says otherwise. So the forecast meets its outcome.
func (h *shop) adopt(ctx context.Context, names []string) (any bool, err error) {
	planned, err := h.st.Entries(ctx, store.PlannedEntry)
	if err != nil || len(planned) == 0 {
		return false, err
	}
	notes, err := h.notes(ctx)
	if err != nil {
		return false, err
	}
	for _, name := range names {
		p, err := h.st.FindOne(ctx, name)
		if err != nil {
			return any, err
		}
		mates, err := h.st.Passes(ctx, store.Filter{Car: p.Car})
		if err != nil {
			return any, err
		}
		k := slices.IndexFunc(mates, func(m store.Pass) bool { return m.Name == p.Name })
		if p.NoteKey != "" || k < 1 {
			continue
		}
		before := mates[k-1]
		for i := len(planned) - 1; i >= 0; i-- {
			e := planned[i]
			plan := notes.PlannedByID(e.Key)
			if plan == nil || plan.After != before.File || plan.AfterIndex >= 0 && plan.AfterIndex != before.Number || notes.ByID(e.Key) != nil {
				continue
			}
			if err := h.adoptOne(ctx, p, e); err != nil {
				return any, err
			}
			any = true
			break
		}
	}
	return any, nil
}

func (h *shop) adoptOne(ctx context.Context, p store.Pass, e store.Entry) error {
	var b strings.Builder
	b.WriteString("# settings and weather are those of the plan: correct what was run otherwise\n")
	fmt.Fprintf(&b, "id = %q\nfile = %q\nindex = %d\ncar = %q\n", e.Key, p.File, p.Number, p.Car)
	if p.RunAt != "" {
		fmt.Fprintf(&b, "when = %q\n", whenOf(p))
	}
	for _, l := range strings.Split(e.Body, "\n") {
		switch key, _, _ := strings.Cut(l, "="); strings.TrimSpace(key) {
		case "", "id", "after", "after_index":
		default:
			b.WriteString(l + "\n")
		}
	}
	if checkEntry(store.PassEntry, b.String()) != nil {
		return nil // the plan states what a pass cannot: the crew writes the entry
	}
	_, err := h.st.PutEntry(ctx, store.Entry{Kind: store.PassEntry, Key: e.Key, Body: b.String()})
	return err
}
