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

// take takes files in as `traplight add` does, and gives the names of their passes.
// Without files it works out again what a change of sheet, notes or channels concerns.
func (h *shop) take(ctx context.Context, j *job, paths []string, said string) (passes []string, err error) {
	var told []error
	failed := 0
	failed, err = h.app.Add(ctx, app.AddRequest{Paths: paths, Car: said}, func(a app.Added) {
		switch {
		case a.Err != nil:
			told = append(told, a.Err)
		case a.Kind == "log" && a.Outcome == string(store.InTrash):
			told = append(told, fmt.Errorf("%s was removed before; it is in the trash", a.File))
		case a.Kind == "log" && len(a.Passes) == 0:
			told = append(told, fmt.Errorf("%s holds no pass: no standing start followed by a run was seen; it is kept all the same", a.File))
		}
		passes = append(passes, a.Passes...)
		if a.File != "" {
			j.tell(a.File, min(a.Done, max(a.Total-1, 0)), a.Total)
		}
	})
	h.forget()
	if err != nil {
		return passes, err
	}
	if failed > 0 && len(told) == 0 {
		told = append(told, fmt.Errorf("%d of the files could not be added", failed))
	}
	return passes, errors.Join(told...)
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
		passes, err := s.shop.take(ctx, j, paths, said)
		switch {
		case len(passes) == 1:
			return "/passes/" + url.PathEscape(passes[0]), err
		case len(passes) == 0 && err == nil:
			return "/cars", nil
		}
		return "/", err
	}
}

// intakeDemo takes the invented shop in.
func (s *Server) intakeDemo() work {
	return func(ctx context.Context, j *job) (string, error) {
		dir, err := os.MkdirTemp("", "traplight-demo-")
		if err != nil {
			return "", err
		}
		defer os.RemoveAll(dir)
		shop := filepath.Join(dir, "shop")
		if _, _, err := app.Demo(ctx, app.DemoRequest{Seed: 1, Save: shop, Pass: 1}); err != nil {
			return "", err
		}
		_, err = s.shop.take(ctx, j, []string{shop}, "")
		return "/", err
	}
}
