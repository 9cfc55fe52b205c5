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
	q, k, err := s.asking(ctx, sum)
	if err != nil {
		return nil, err
	}
	defer k.Close()
	now, _, _, err := passesOf(ctx, q)
	if err != nil {
		return nil, err
	}
	return &now.Sources[0], nil
}

// Account is the stored report of a log made anew, with the ledgers that the stored one is
// without.
func (s *Shop) Account(ctx context.Context, sum string) (*report.Report, error) {
	q, k, err := s.asking(ctx, sum)
	if err != nil {
		return nil, err
	}
	defer k.Close()
	return Report(ctx, q)
}

// asking is what a log's stored report was asked with; the caller closes k.
func (s *Shop) asking(ctx context.Context, sum string) (q ReportRequest, k *known, err error) {
	all, err := s.runs(ctx)
	if err != nil {
		return q, nil, err
	}
	i := slices.IndexFunc(all, func(r run) bool { return r.log.SHA256 == sum })
	if i < 0 {
		return q, nil, fmt.Errorf("%w: no log %s in the store", store.ErrNotFound, sum)
	}
	this := all[i]
	if k, err = s.known(ctx); err != nil {
		return q, nil, err
	}
	defer func() {
		if err != nil {
			k.Close()
		}
	}()
	all, base := k.bases(all)
	past, err := s.rememberAll(ctx, k, before(all, this.log.Car, this.at), base)
	if err != nil {
		return q, nil, err
	}
	path, err := k.log(s, this.log)
	if err != nil {
		return q, nil, err
	}
	var files []string
	for _, m := range past {
		files = append(files, m.source.Log.File)
	}
	if q, _, err = k.request(ctx, path, this.log.File, sum, this.log.Car, files...); err != nil {
		return q, nil, err
	}
	q.History = files
	q.past = func(context.Context, ReportRequest) (*Analysis, error) { return recall(past), nil }
	return q, k, nil
}
