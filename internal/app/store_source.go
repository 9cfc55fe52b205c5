package app

import (
	"context"
	"fmt"
	"slices"

	"traplight/internal/report"
	"traplight/internal/store"
)

// Source is a log of the store with its passes, made anew of the same files and the same
// history as its stored report, for doors that draw: what is drawn is what is told.
func (s *Shop) Source(ctx context.Context, sum string) (*report.Source, error) {
	k, err := s.known(ctx)
	if err != nil {
		return nil, err
	}
	defer k.Close()
	all, err := s.runs(ctx)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(r run) bool { return r.log.SHA256 == sum })
	if i < 0 {
		return nil, fmt.Errorf("%w: no log %s in the store", store.ErrNotFound, sum)
	}
	this := all[i]
	all, base := k.bases(all)
	past, err := s.rememberAll(ctx, k, before(all, this.log.Car, this.at), base)
	if err != nil {
		return nil, err
	}
	path, err := k.log(s, this.log)
	if err != nil {
		return nil, err
	}
	var files []string
	for _, m := range past {
		files = append(files, m.source.Log.File)
	}
	q, _, err := k.request(path, this.log.File, sum, this.log.Car, files...)
	if err != nil {
		return nil, err
	}
	q.History = files
	q.past = func(context.Context, ReportRequest) (*Analysis, error) { return recall(past), nil }
	now, _, _, err := passesOf(ctx, q)
	if err != nil {
		return nil, err
	}
	return &now.Sources[0], nil
}
