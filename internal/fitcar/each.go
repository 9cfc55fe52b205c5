package fitcar

import (
	"runtime"
	"sync"
)

// each calls f for 0 to n−1, on all processors if wide, else in order. Members are fitted side
// by side already; the mean, which they start from, has the processors to itself. f must write
// to its own place only, so that both ways give the same.
func each(n int, wide bool, f func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if !wide || workers < 2 {
		for i := range n {
			f(i)
		}
		return
	}
	var wg sync.WaitGroup
	for k := range workers {
		wg.Go(func() {
			for i := k; i < n; i += workers {
				f(i)
			}
		})
	}
	wg.Wait()
}
