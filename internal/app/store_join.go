package app

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// join says that logs of the store are several recorders' of the same passes: the one that
// saw the engine leads, and has the passes; the others' channels are merged into it
// whenever it is analysed. lines says what was done.
func (s *Shop) join(ctx context.Context, sums []string) (line string, err error) {
	lead, err := s.leader(ctx, sums)
	if err != nil {
		return "", err
	}
	logs, err := s.Logs(ctx)
	if err != nil {
		return "", err
	}
	name := func(sum string) string {
		for _, l := range logs {
			if l.SHA256 == sum {
				return l.File
			}
		}
		return sum
	}
	var others []string
	for _, sum := range sums {
		if sum == lead {
			continue
		}
		if err := s.Together(ctx, lead, sum); err != nil {
			return "", err
		}
		if err := s.givePasses(ctx, sum, name(lead)); err != nil {
			return "", err
		}
		others = append(others, name(sum))
	}
	return fmt.Sprintf("%s: together with %s", name(lead), strings.Join(others, ", ")), nil
}

// leader is the one log among several that has the engine's speed.
func (s *Shop) leader(ctx context.Context, sums []string) (lead string, err error) {
	for _, sum := range sums {
		r, err := s.storedReport(ctx, sum)
		if err != nil {
			return "", err
		}
		engine := slices.ContainsFunc(r.Log.Channels, func(c report.Channel) bool {
			return c.Quantity != nil && *c.Quantity == string(quantity.EngineSpeed)
		})
		switch {
		case engine && lead != "":
			return "", fmt.Errorf("two of these logs have the engine's speed; those of two recorders have it once")
		case engine:
			lead = sum
		}
	}
	if lead == "" {
		return "", fmt.Errorf("none of these logs has the engine's speed; the one that has it leads")
	}
	return lead, nil
}

func (s *Shop) storedReport(ctx context.Context, sum string) (*report.Report, error) {
	kept, err := s.Result(ctx, sum)
	if err != nil {
		return nil, err
	}
	r := &report.Report{}
	return r, json.Unmarshal(kept.Report, r)
}

// givePasses takes the passes from a log that has become a second recorder's: they are the
// leading log's.
func (s *Shop) givePasses(ctx context.Context, sum, lead string) error {
	r, err := s.storedReport(ctx, sum)
	if err != nil {
		return err
	}
	note := "another recorder's log of the passes in " + lead
	if slices.Contains(r.Notes, note) {
		return nil
	}
	r.Passes, r.Notes = []report.Pass{}, append(r.Notes, note)
	var text bytes.Buffer
	if err := report.WriteJSON(&text, r); err != nil {
		return err
	}
	a := &store.Analysis{Report: text.Bytes(), Inputs: "together with " + lead}
	logs, err := s.Logs(ctx)
	if err != nil {
		return err
	}
	for _, l := range logs {
		if l.SHA256 == sum {
			a.Car, a.Start = l.Car, l.Start
		}
	}
	return s.PutResult(ctx, sum, a)
}

// seconds are the logs of second recorders, by the leading log's sum.
func seconds(logs []store.Log) (of map[string][]store.Log, second map[string]bool) {
	of, second = map[string][]store.Log{}, map[string]bool{}
	for _, l := range logs {
		for _, with := range l.With {
			i := slices.IndexFunc(logs, func(o store.Log) bool { return o.SHA256 == with && !o.Removed })
			if i >= 0 && !l.Removed {
				of[l.SHA256] = append(of[l.SHA256], logs[i])
				second[with] = true
			}
		}
	}
	return of, second
}
