package app

import (
	"context"
	"fmt"
	"slices"

	"traplight/internal/logfile"
	"traplight/internal/report"
	"traplight/internal/store"
)

// historyLogs is how many earlier logs of the car a stored report is held against: the
// newest of them. The screen's limits have settled by then, and the time to read them
// stays that of a short walk back from the strip.
const historyLogs = 12

// maxMemos bounds the analyses that a shop keeps in memory, some megabytes each.
const maxMemos = 3 * historyLogs

// memo is an analysis of a log as part of a history, made without one of its own.
type memo struct {
	base   string // what it was made of; see known.base
	source report.Source
}

// recall is a history as an Analysis.
func recall(past []memo) *Analysis {
	if len(past) == 0 {
		return nil
	}
	a := &Analysis{}
	for _, m := range past {
		a.Sources = append(a.Sources, m.source)
	}
	return a
}

// run is a log with the time at which its first pass was run.
type run struct {
	log store.Log
	at  string
}

// runs lists the logs in the order of their passes, those without a pass first.
func (s *Shop) runs(ctx context.Context) ([]run, error) {
	logs, err := s.Logs(ctx)
	if err != nil {
		return nil, err
	}
	passes, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return nil, err
	}
	first := map[string]string{}
	for _, p := range passes { // in order of time
		if _, seen := first[p.SHA256]; !seen {
			first[p.SHA256] = p.RunAt
		}
	}
	var out []run
	for _, l := range logs {
		if !l.Removed {
			out = append(out, run{l, first[l.SHA256]})
		}
	}
	slices.SortStableFunc(out, func(a, b run) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	return out, nil
}

// before lists the newest of a car's logs whose passes were run before a moment. A log without
// a pass has no history, and is in none.
func before(all []run, carName, at string) []store.Log {
	var out []store.Log
	for _, r := range all {
		if r.log.Car == carName && r.at != "" && r.at < at {
			out = append(out, r.log)
		}
	}
	return out[max(0, len(out)-historyLogs):]
}

// renew makes the reports anew of which anything has changed, the oldest pass first.
// fresh are the logs just added: that their reports now count the history is no news.
func (s *Shop) renew(ctx context.Context, k *known, again bool, fresh map[string]bool, out func(Added)) error {
	all, err := s.runs(ctx)
	if err != nil {
		return err
	}
	made, err := s.Made(ctx)
	if err != nil {
		return err
	}
	type job struct {
		run
		history []store.Log
	}
	var stale []job
	all, base := k.bases(all)
	for _, r := range all {
		b, ok := base[r.log.SHA256]
		if !ok {
			continue
		}
		history := before(all, r.log.Car, r.at)
		var bases []string
		for _, h := range history {
			bases = append(bases, base[h.SHA256])
		}
		m := made[r.log.SHA256]
		if withHistory(b, bases) != m.Inputs || again && m.Program != s.Program() {
			stale = append(stale, job{r, history})
		}
	}
	for i, j := range stale {
		if err := ctx.Err(); err != nil {
			return err
		}
		a, err := s.analyseStored(ctx, k, j.log, j.history, base)
		if err == nil {
			err = s.PutResult(ctx, j.log.SHA256, a)
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		told := Added{Kind: "report", File: j.log.File, Outcome: "made anew", Err: err, Done: i + 1, Total: len(stale)}
		if fresh[j.log.SHA256] && err == nil {
			told.Outcome = "held against one earlier log"
			if n := len(j.history); n > 1 {
				told.Outcome = fmt.Sprintf("held against %d earlier logs", n)
			}
		}
		out(told)
	}
	return nil
}

// bases gives what each log's analysis is made of, by its sum, and leaves second recorders'
// logs out. A car whose sheet is not there has none: its report stays as it is.
func (k *known) bases(all []run) ([]run, map[string]string) {
	base := map[string]string{}
	all = slices.DeleteFunc(all, func(r run) bool { return k.second[r.log.SHA256] })
	for _, r := range all {
		if sheets, err := k.sheetsFor(r.log.File, r.log.Car); err == nil {
			base[r.log.SHA256] = k.base(r.log.SHA256, r.log.File, r.log.Start, sheets)
		}
	}
	return all, base
}

// analyseStored analyses a log of the store against its history.
func (s *Shop) analyseStored(ctx context.Context, k *known, l store.Log, history []store.Log, base map[string]string) (*store.Analysis, error) {
	path, err := k.log(s, l)
	if err != nil {
		return nil, err
	}
	sum, err := store.SumFile(path)
	if err != nil {
		return nil, err
	}
	if sum.SHA256 != l.SHA256 {
		return nil, fmt.Errorf("the original of %s: %w", l.File, store.ErrDamaged)
	}
	past, err := s.rememberAll(ctx, k, history, base)
	if err != nil {
		return nil, err
	}
	return k.analyse(l.Car, past)(ctx, path, l.File, sum)
}

// rememberAll gives the analyses of a history.
func (s *Shop) rememberAll(ctx context.Context, k *known, history []store.Log, base map[string]string) ([]memo, error) {
	var past []memo
	for _, h := range history {
		m, err := s.remember(ctx, k, h, base[h.SHA256])
		if err != nil {
			return nil, err
		}
		past = append(past, m)
	}
	return past, nil
}

// remember gives the analysis of a log for use as history, from memory when it is there.
func (s *Shop) remember(ctx context.Context, k *known, l store.Log, base string) (memo, error) {
	if m, ok := s.memory(base); ok {
		return m, nil
	}
	path, err := k.log(s, l)
	if err != nil {
		return memo{}, err
	}
	q, _, err := k.request(ctx, path, l.File, l.SHA256, l.Car)
	if err != nil {
		return memo{}, err
	}
	a, err := Analyse(ctx, q)
	if err != nil {
		return memo{}, err
	}
	m := memo{base, a.Sources[0]}
	// A history needs what was found, not the columns as they were printed.
	m.source.Log = &logfile.Log{File: l.File, SHA256: l.SHA256, Start: m.source.Log.Start, Clock: m.source.Log.Clock}
	s.remembering.Lock()
	defer s.remembering.Unlock()
	if len(s.memos) >= maxMemos {
		s.memos = slices.Delete(s.memos, 0, 1)
	}
	s.memos = append(s.memos, m)
	return m, nil
}

// memory is an analysis that is still kept.
func (s *Shop) memory(base string) (memo, bool) {
	s.remembering.Lock()
	defer s.remembering.Unlock()
	for i, m := range s.memos {
		if m.base == base {
			// The one used last stands last; the first is forgotten first.
			s.memos = append(slices.Delete(s.memos, i, i+1), m)
			return m, true
		}
	}
	return memo{}, false
}
