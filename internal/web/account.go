package web

import (
	"context"
	"encoding/json"
	"strings"

	"traplight/internal/report"
	"traplight/internal/store"
)

// account is the ledger of a pass's report: it takes longer than all the rest and is
// worked out after the log was taken in. ok is false until then.
func (h *shop) account(p store.Pass, inputs string) (lines []report.Ledger, notes []string, ok bool) {
	f, ok := h.st.Cached(accountName(h.program, p, inputs))
	if !ok {
		return nil, nil, false
	}
	defer f.Close()
	var kept accounted
	if json.NewDecoder(f).Decode(&kept) != nil || p.Number >= len(kept.Lines) {
		return nil, nil, false
	}
	return kept.Lines[p.Number], kept.Notes, true
}

// accounted is what the cache keeps of a log's ledgers, by pass.
type accounted struct {
	Lines [][]report.Ledger `json:"lines"`
	Notes []string          `json:"notes"`
}

func accountName(program string, p store.Pass, inputs string) string {
	return "ledger-" + hashOf(p.SHA256, inputs, program) + ".json"
}

// workAccount works the ledgers of a log out and keeps them.
func (h *shop) workAccount(ctx context.Context, j *job, p store.Pass) error {
	_, inputs, err := h.report(ctx, p.SHA256)
	if err != nil {
		return err
	}
	if _, _, ok := h.account(p, inputs); ok {
		return nil
	}
	j.tell("fitting "+p.Car+" to its passes", 0, 1)
	r, err := h.app.Account(ctx, p.SHA256)
	if err != nil {
		return err
	}
	kept := accounted{}
	for i := range r.Passes {
		kept.Lines = append(kept.Lines, r.Passes[i].Ledger)
	}
	for _, s := range r.Notes {
		if strings.Contains(s, "ledger") {
			kept.Notes = append(kept.Notes, s)
		}
	}
	data, err := json.Marshal(kept)
	if err != nil {
		return err
	}
	return h.st.PutCached(accountName(h.program, p, inputs), writerOf(data))
}
