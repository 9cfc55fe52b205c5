package sizing

import (
	"context"
	"errors"
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

// What a request must have.
var (
	ErrNoTarget = errors.New("no target speed: state trap_mph or trap_kmh under [target] in the car sheet, or give --target")
	ErrNoGears  = errors.New("no gears: the car sheet must state gears and final_drive")
	ErrNoSpeed  = errors.New("no engine speed: the car sheet must state rev_limit_rpm or usual_shift_rpm")
)

const usualDraws = 300

// study is the work in progress: the draws and what was made of them.
type study struct {
	q      *Request
	r      *Result
	n      int
	src    source
	fleet  *fleet
	day    day
	target float64   // m/s
	crank  []float64 // W; NaN where out of reach
	wheel  []float64 // W
	runs   []outcome
	fuel   fuel.Answer

	breaths []breath // by draw, at peak power; filled by breathe
}

// Size answers the request. It is an error only when nothing can be said.
func Size(ctx context.Context, q Request) (*Result, error) {
	st, err := begin(&q)
	if err != nil {
		return nil, err
	}
	if err := st.power(ctx); err != nil {
		return nil, err
	}
	if st.r.Power.Wheel != nil {
		st.breathe()
		st.match()
		st.turbine()
		st.fuelSystem()
		st.gearing()
	}
	st.tyres()
	st.stop()
	st.cautions()
	return st.r, nil
}

// begin checks the request and draws the cars.
func begin(q *Request) (*study, error) {
	s := q.Sheet
	if s == nil {
		return nil, errors.New("no car sheet")
	}
	target := q.Target
	if target == 0 {
		target = s.Target
	}
	switch {
	case !(target > 0):
		return nil, ErrNoTarget
	case target < 15 || target > 200:
		return nil, fmt.Errorf("a trap speed of %.0f m/s (%.0f mph) is not one of a car: is a unit wrong?", target, target/0.44704)
	case len(s.Gears) == 0 || !(s.FinalDrive > 0):
		return nil, ErrNoGears
	}
	if shifts := shiftSpeeds(s); len(shifts) == 1 && math.IsInf(shifts[0], 1) || len(shifts) > 1 && !(shifts[0] > 0) {
		return nil, ErrNoSpeed
	}
	if q.Strip.Length == 0 {
		q.Strip = car.DefaultStrip()
	}
	n := q.Draws
	if n <= 0 {
		n = usualDraws
	}
	st := &study{q: q, n: n, src: source{q.Seed}, target: target}
	st.r = &Result{Car: s.Name, Target: target, Length: q.Strip.Length, Assumptions: []Assumption{}, Missing: []string{}, Notes: []string{}, Cautions: []string{}}
	st.day = dayOf(q.Weather, q.Strip)
	st.fleet, st.r.Assumptions = fleetOf(q, st.day, n, "day")
	st.fuel = fuel.Resolve(fuel.Known{Name: s.Fuel, Stoich: s.StoichAFR, Density: s.FuelDensity})
	st.r.Notes = append(st.r.Notes, st.fuel.Warnings...)
	if q.Map != nil {
		st.r.Notes = append(st.r.Notes, q.Map.Told...)
	}
	for _, h := range q.Housings {
		st.r.Notes = append(st.r.Notes, h.Told...)
	}
	return st, nil
}

func (st *study) draw(name string, e quantity.Estimate, positive bool) []float64 {
	return st.src.of(name, e, st.n, positive)
}

func (st *study) assume(what string, e quantity.Estimate, unit, from string) {
	st.r.Assumptions = append(st.r.Assumptions, Assumption{what, e.Value, e.SD, unit, from})
}

func (st *study) missing(sentence string) {
	st.r.Missing = append(st.r.Missing, sentence)
}

// own picks what the car's passes told, else what is assumed.
func own(m *quantity.Estimate, otherwise quantity.Estimate, from string) (quantity.Estimate, string) {
	if m != nil && m.Value > 0 {
		return *m, "own passes"
	}
	return otherwise, from
}

func (st *study) measured() *Measured {
	if st.q.Measured == nil {
		return &Measured{}
	}
	return st.q.Measured
}
