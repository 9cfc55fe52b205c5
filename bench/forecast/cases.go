package main

import (
	"bytes"
	"context"
	"encoding/gob"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/fitcar"
)

// sharedSets groups the simulated logs by car, from their notes.
func sharedSets(dir string) ([]set, error) {
	path := filepath.Join(dir, "passes.toml")
	notes, err := car.LoadNotes(path)
	if err != nil {
		return nil, err
	}
	by := map[string]*set{}
	var order []string
	for i := range notes.Passes {
		p := &notes.Passes[i]
		s := by[p.Car]
		if s == nil {
			s = &set{kind: "shared", sheet: filepath.Join(dir, "car_"+p.Car+".toml"), notes: path}
			by[p.Car] = s
			order = append(order, p.Car)
		}
		if l := filepath.Join(dir, p.File); !slices.Contains(s.logs, l) {
			s.logs = append(s.logs, l)
		}
		for j := range notes.Planned {
			if q := &notes.Planned[j]; notes.After(q) == p {
				s.next = append(s.next, nextCase{q.ID, len(s.logs)})
			}
		}
	}
	var out []set
	for _, c := range order {
		out = append(out, *by[c])
	}
	return out, nil
}

func gearsFrom(n, from int, step float64) []float64 {
	out := make([]float64, n)
	for g := from; g < n; g++ {
		out[g] = step
	}
	return out
}

// observations reads logs, or takes what was kept of an earlier reading.
func (b *bench) observations(ctx context.Context, s set, logs []string) ([]*fitcar.Observation, error) {
	var all []*fitcar.Observation
	if b.variant.whole() && s.kind == "invented" || len(logs) > 1 {
		return b.together(ctx, s, logs)
	}
	for _, l := range logs {
		path, dir := filepath.Join(b.dir, filepath.Base(l)+".gob"), filepath.Join(b.dir, b.variant.name)
		if b.variant.reads() && s.kind == "invented" {
			path = filepath.Join(dir, filepath.Base(l)+".gob")
		}
		var obs []*fitcar.Observation
		if data, err := os.ReadFile(path); err == nil && gob.NewDecoder(bytes.NewReader(data)).Decode(&obs) == nil {
			all = append(all, obs...)
			continue
		}
		if s.kind == "invented" {
			var err error
			if l, err = b.variant.log(l, dir); err != nil {
				return nil, err
			}
		}
		obs, err := app.Observations(ctx, app.ForecastRequest{Cars: []string{s.sheet}, Notes: s.notes, History: []string{l}})
		if err != nil {
			return nil, err
		}
		var buf bytes.Buffer
		if err := gob.NewEncoder(&buf).Encode(obs); err == nil {
			_ = os.WriteFile(path, buf.Bytes(), 0o644)
		}
		all = append(all, obs...)
	}
	return all, nil
}

// together reads all logs at once, as the command does, so that passes are judged against one
// another, or takes what was kept.
func (b *bench) together(ctx context.Context, s set, logs []string) ([]*fitcar.Observation, error) {
	dir := filepath.Join(b.dir, b.variant.name)
	path := filepath.Join(dir, filepath.Base(logs[len(logs)-1])+fmt.Sprintf(".%d.gob", len(logs)))
	var kept []*fitcar.Observation
	if data, err := os.ReadFile(path); err == nil && gob.NewDecoder(bytes.NewReader(data)).Decode(&kept) == nil {
		return kept, nil
	}
	history := logs
	if s.kind == "invented" {
		var err error
		if history, err = b.variant.history(logs, dir); err != nil {
			return nil, err
		}
	}
	obs, err := app.Observations(ctx, app.ForecastRequest{Cars: []string{s.sheet}, Notes: s.notes, History: history})
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	if err := gob.NewEncoder(&buf).Encode(obs); err == nil && os.MkdirAll(dir, 0o755) == nil {
		_ = os.WriteFile(path, buf.Bytes(), 0o644)
	}
	return obs, nil
}

type truthFile struct {
	Passes []struct {
		Trap *struct {
			V float64 `json:"v_mean_66ft"`
		}
		Healthy         bool
		Counterfactuals map[string]*struct {
			Gain *float64 `json:"trap_gain"`
		}
		Sequels []struct {
			ID  string
			New run `json:"new_execution"`
			Old run `json:"same_execution"`
		}
	}
}

type run struct {
	V *float64 `json:"trap_mean_66ft"`
}

func readTruth(log string) (*truthFile, error) {
	data, err := os.ReadFile(strings.TrimSuffix(log, ".csv") + ".truth.json")
	if err != nil {
		return nil, err
	}
	t := &truthFile{}
	return t, json.Unmarshal(data, t)
}

func trueTrap(log, id string) (truth, last, same float64, err error) {
	t, err := readTruth(log)
	if err != nil {
		return 0, 0, 0, err
	}
	for _, p := range t.Passes {
		for _, s := range p.Sequels {
			if s.ID == id {
				if s.New.V == nil {
					return 0, 0, 0, fmt.Errorf("the true pass does not reach the line")
				}
				same, last = math.NaN(), math.NaN() // a last pass that was given up has no trap speed
				if p.Trap != nil {
					last = p.Trap.V
				}
				if s.Old.V != nil {
					same = *s.Old.V
				}
				return *s.New.V, last, same, nil
			}
		}
	}
	return 0, 0, 0, fmt.Errorf("the truth holds no %s", id)
}

// trueGains are the true gains by counterfactual for each pass of a log; nil
// where the truth has none.
func trueGains(log string) ([]map[string]float64, error) {
	t, err := readTruth(log)
	if err != nil {
		return nil, err
	}
	var out []map[string]float64
	for _, p := range t.Passes {
		var m map[string]float64
		for k, v := range p.Counterfactuals {
			if v != nil && v.Gain != nil {
				if m == nil {
					m = map[string]float64{}
				}
				m[k] = *v.Gain
			}
		}
		out = append(out, m)
	}
	return out, nil
}
