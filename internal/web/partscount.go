package web

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"

	"traplight/internal/app"
)

// endured is what the parts have endured, from the cache; key is under which it is kept.
func (h *shop) endured(ctx context.Context, name, text string) (res *app.PartsAnswer, key string, err error) {
	k, err := h.app.ModelKey(ctx, name)
	if err != nil {
		return nil, "", err
	}
	key = "parts-" + hashOf(k, text) + ".json"
	f, ok := h.st.Cached(key)
	if !ok {
		return nil, key, nil
	}
	defer f.Close()
	res = &app.PartsAnswer{}
	if json.NewDecoder(f).Decode(res) != nil {
		return nil, key, nil
	}
	return res, key, nil
}

// endure works out what the parts have endured, and keeps it.
func (h *shop) endure(ctx context.Context, j *job, name, text, key string) error {
	dir, err := os.MkdirTemp("", "traplight-parts-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "parts.toml")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		return err
	}
	n, q, err := h.history(ctx, name)
	if err != nil {
		return err
	}
	defer n.Close()
	a, err := app.Parts(ctx, app.PartsRequest{Parts: path, Cars: q.Cars, Notes: q.Notes, Logs: q.History, Progress: func(log string, done, of int) { j.tell("counting "+log, done, of) }})
	if err != nil {
		return err
	}
	data, err := json.Marshal(a)
	if err != nil {
		return err
	}
	return h.st.PutCached(key, writerOf(data))
}

// countParts gives what the parts have endured, or the work that finds it out.
func (s *Server) countParts(ctx context.Context, name, text string) (*app.PartsAnswer, string, error) {
	res, key, err := s.shop.endured(ctx, name, text)
	if err != nil || res != nil {
		return res, "", err
	}
	id, err := s.jobs.pending(key, "counting what the parts of "+name+" endured", func(ctx context.Context, j *job) (string, error) {
		return "", s.shop.endure(ctx, j, name, text, key)
	})
	return nil, id, err
}

// dueLines are the parts that the card must name.
func (s *Server) dueLines(ctx context.Context, name string) (due []string, waiting string) {
	text := s.shop.app.PartsText(ctx, name)
	if text == "" {
		return nil, ""
	}
	res, job, err := s.countParts(ctx, name, text)
	if err != nil || res == nil {
		return nil, job
	}
	return res.DueLines(), ""
}
