package main

import (
	"encoding/gob"
	"fmt"
	"os"
	"path/filepath"

	"traplight/internal/demo"
	"traplight/internal/health"
)

// kept is a pass as kept on disk between runs of the bench: making and
// reconstructing passes takes far longer than screening them.
type kept struct {
	Record health.Record
	Truth  *truth
}

// recall gives the pass from the folder, or makes it and keeps it there. An
// empty folder name keeps nothing.
func (g *garage) recall(dir, name string, o demo.PassOptions, seed uint64) (health.Record, *truth, error) {
	if dir == "" {
		return g.pass(o, seed)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return health.Record{}, nil, fmt.Errorf("folder that keeps the passes: %w", err)
	}
	path := filepath.Join(dir, name+".gob")
	if f, err := os.Open(path); err == nil {
		defer f.Close()
		var k kept
		if err := gob.NewDecoder(f).Decode(&k); err == nil {
			if n := k.Record.Note; n != nil && n.Nitrous == nil && o.Settings != nil {
				n.Nitrous = &o.Settings.Nitrous // gob leaves out a false behind a pointer, as if nobody had said
			}
			return k.Record, k.Truth, nil
		}
	}
	r, t, err := g.pass(o, seed)
	if err != nil {
		return r, t, err
	}
	f, err := os.CreateTemp(dir, "new")
	if err != nil {
		return r, t, fmt.Errorf("keep a pass: %w", err)
	}
	err = gob.NewEncoder(f).Encode(kept{r, t})
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	} else {
		os.Remove(f.Name())
	}
	return r, t, err
}
