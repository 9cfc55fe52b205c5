package store

import (
	"context"
	"runtime"
	"sync"
)

// Progress is told after each log of a batch, in the order of the batch.
type Progress struct {
	Done, Total int
	Addition    Addition
	Err         error // why this one was not added; the others go on
}

// AddAll takes many logs in, analysing as many at once as there are
// processors, and settling them in the order given, so that names come out the
// same each time. One that cannot be read does not stop the others. It ends
// early only when ctx does; what was told as done stays done.
func (s *Store) AddAll(ctx context.Context, paths []string, analyse Analyse, tell func(Progress)) error {
	type ready struct {
		p   proposal
		err error
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	slots := make([]chan ready, len(paths))
	for i := range slots {
		slots[i] = make(chan ready, 1)
	}
	// Analyses run ahead by at most twice the processors, which bounds the
	// reports that wait in memory.
	workers := runtime.GOMAXPROCS(0)
	ahead := make(chan struct{}, 2*workers)
	next := make(chan int)
	var all sync.WaitGroup
	defer all.Wait()
	for range workers {
		all.Go(func() {
			for i := range next {
				p, err := s.propose(ctx, paths[i], analyse)
				slots[i] <- ready{p, err}
			}
		})
	}
	all.Go(func() {
		defer close(next)
		for i := range paths {
			select {
			case ahead <- struct{}{}:
			case <-ctx.Done():
				return
			}
			select {
			case next <- i:
			case <-ctx.Done():
				return
			}
		}
	})
	for i := range paths {
		var r ready
		select {
		case r = <-slots[i]:
		case <-ctx.Done():
			return ctx.Err()
		}
		<-ahead
		a, err := Addition{File: r.p.file, SHA256: r.p.sum.SHA256}, r.err
		if err == nil {
			a, err = s.settle(ctx, r.p)
		}
		if ctx.Err() != nil && err != nil {
			return ctx.Err()
		}
		tell(Progress{Done: i + 1, Total: len(paths), Addition: a, Err: err})
	}
	return nil
}
