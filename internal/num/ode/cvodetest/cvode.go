//go:build cvode

package cvodetest

// #cgo LDFLAGS: -lsundials_cvode -lsundials_nvecserial -lsundials_sunmatrixdense -lsundials_sunlinsoldense
// #include "shim.h"
import "C"

import (
	"fmt"
	"runtime/cgo"
	"unsafe"

	"traplight/internal/num/ode"
)

// Tolerance is the error per step that CVODE is asked for.
type Tolerance struct {
	Rel   float64   // 1
	Abs   []float64 // by component, in its unit; a single entry serves all
	Adams bool      // Adams's formulas instead of the backward differences
}

type job struct {
	f    ode.Func
	evs  []ode.Event
	n    int
	hits []ode.Hit
}

const (
	success    = 0
	stopReturn = 1
	rootReturn = 2
)

// Solve integrates as ode.Solve does (y0 in the caller's units), by CVODE with its own
// step control and its own root finding. Of the configuration it takes Events, First and Longest.
func (tol Tolerance) Solve(f ode.Func, span ode.Span, y0 []float64, cfg ode.Config) (*ode.Solution, error) {
	n := len(y0)
	j := &job{f: f, evs: cfg.Events, n: n}
	h := cgo.NewHandle(j)
	defer h.Delete()
	y, abs := make([]C.double, n), make([]C.double, n)
	for i := range y {
		y[i], abs[i] = C.double(y0[i]), C.double(tol.Abs[min(i, len(tol.Abs)-1)])
	}
	dirs := make([]C.int, len(cfg.Events)+1)
	for i, e := range cfg.Events {
		dirs[i] = C.int(e.Direction)
	}
	adams := C.int(0)
	if tol.Adams {
		adams = 1
	}
	var end C.double
	var evals, steps, fails C.long
	flag := C.tl_cvode(C.uintptr_t(h), C.int(n), C.double(span.From), C.double(span.To), &y[0], C.double(tol.Rel), &abs[0],
		C.double(cfg.First), C.double(cfg.Longest), C.int(len(cfg.Events)), &dirs[0], adams, &end, &evals, &steps, &fails)
	sol := &ode.Solution{End: float64(end), EndY: floats(&y[0], n), Hits: j.hits,
		Stats: ode.Stats{Accepted: int(steps), Rejected: int(fails), Evaluations: int(evals)}}
	switch flag {
	case success, stopReturn:
		sol.Outcome = ode.ReachedEnd
	case rootReturn:
		sol.Outcome = ode.Stopped
	default:
		return nil, fmt.Errorf("cvodetest: flag %d at %g", flag, sol.End)
	}
	return sol, nil
}

func floats(p *C.double, n int) []float64 {
	return append([]float64(nil), unsafe.Slice((*float64)(unsafe.Pointer(p)), n)...)
}

//export goSlopes
func goSlopes(h C.uintptr_t, t C.double, y, d *C.double) {
	j := cgo.Handle(h).Value().(*job)
	j.f(float64(t), unsafe.Slice((*float64)(unsafe.Pointer(y)), j.n), unsafe.Slice((*float64)(unsafe.Pointer(d)), j.n))
}

//export goEvents
func goEvents(h C.uintptr_t, t C.double, y, g *C.double) {
	j := cgo.Handle(h).Value().(*job)
	v, out := unsafe.Slice((*float64)(unsafe.Pointer(y)), j.n), unsafe.Slice((*float64)(unsafe.Pointer(g)), len(j.evs))
	for i, e := range j.evs {
		out[i] = e.F(float64(t), v)
	}
}

//export goRoot
func goRoot(h C.uintptr_t, t C.double, y *C.double, found *C.int) C.int {
	j := cgo.Handle(h).Value().(*job)
	stop := C.int(0)
	for i, hit := range unsafe.Slice(found, len(j.evs)) {
		if hit == 0 {
			continue
		}
		j.hits = append(j.hits, ode.Hit{Event: i, T: float64(t), Y: floats(y, j.n)})
		if j.evs[i].Stop {
			stop = 1
		}
	}
	// the event that stops comes last, as package ode has it
	if k := len(j.hits) - 1; stop == 1 && !j.evs[j.hits[k].Event].Stop {
		for i := k; i >= 0; i-- {
			if j.evs[j.hits[i].Event].Stop {
				j.hits[i], j.hits[k] = j.hits[k], j.hits[i]
				break
			}
		}
	}
	return stop
}
