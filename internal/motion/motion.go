// Package motion finds how a car moved from every speed, position and
// acceleration source that a log has.
//
// Method. Distance is a cubic spline on a fine uniform grid, so that
// acceleration is a continuous random walk whose steps have heavy tails
// (Student's t: smooth pulls, sudden shifts). Each source is a function of the
// spline and of a few constants of the sensor: wheel scale and the tyre's growth
// with speed; lag; the accelerometer's bias and its lean with the car; a
// receiver's latency and its slowly wandering error (a first-order Gauss–Markov
// process beside white noise). All unknowns are estimated together by
// Gauss–Newton on the posterior, with iteratively reweighted residuals, in
// banded-plus-border form (package banded). It is the batch form of the Kalman
// and Rauch–Tung–Striebel smoother with sensor states; delays, which point
// backward in time, cost nothing in this form. Standard deviations come from the
// same factorisation, sensor constants included. Noise levels are estimated from
// the log's own residuals.
//
// Sources: Rauch, Tung, Striebel (1965) AIAA J. 3, 1445; Lange, Little, Taylor
// (1989) JASA 84, 881 (reweighting for t errors); the tyre's growth with speed
// squared is the first term of any elastic ring under centrifugal load.
//
// Limits: one straight pass; a wheel that is braked or spinning must be excluded
// by the caller. Without a receiver nothing in the log fixes the wheels' scale and
// growth: both stay at their priors and their spread is added to every result.
package motion

import "math"

// Kind says what a source measures.
type Kind int

// The kinds of source.
const (
	Undriven      Kind = iota // speed of wheels that only roll, m/s as logged
	DrivenWheel               // speed of wheels that also drive, m/s as logged
	Satellite                 // ground speed from a satellite receiver, m/s
	Position                  // distance along the strip from a satellite receiver, m
	Accelerometer             // longitudinal, m/s², forward positive
	Pull                      // acceleration known from what drives the car, m/s², without bias or delay
)

// Source is one channel. T is in s on the run clock, V in the Kind's unit.
type Source struct {
	Name       string
	Kind       Kind
	T, V       []float64 // s; unit by Kind
	Resolution float64   // step of the printed numbers, in V's unit
	Exclude    []Span    // stretches in which the channel is not to be used
}

// Span is a stretch of time.
type Span struct {
	From, To float64 // s, run clock
}

// Prior is what is known of a constant before the pass.
type Prior struct {
	Mean, SD float64 // unit of the constant
}

// Priors of the sensors' constants. Zero values mean the defaults below.
type Priors struct {
	WheelScale  Prior            // 1, logged speed over true speed near standstill, common to all wheels
	WheelSpread float64          // 1, standard deviation of one wheel's scale about the common one
	Growth      Prior            // s²/m², relative growth of the rolling radius per speed squared
	DrivenSlip  Prior            // 1 per m/s², slip of a driven wheel per acceleration
	SlipWander  float64          // 1, standard deviation of a driven wheel's slip beyond that, which comes and goes within a second
	SlipSD      float64          // 1, what nobody knows of a driven wheel's slip where nothing else tells speed
	Lean        Prior            // 1, accelerometer reading per true acceleration beyond 1
	Latency     Prior            // s, satellite receiver
	Known       map[string]Prior // each in its own unit, by the constant's name, where earlier passes of the car settle it
}

// DefaultPriors are wide: what any car and logger may have (common practice, no source).
func DefaultPriors() Priors {
	return Priors{
		WheelScale:  Prior{1, 0.03},
		WheelSpread: 0.006,
		Growth:      Prior{3e-6, 2.5e-6},
		DrivenSlip:  Prior{0.006, 0.004},
		SlipWander:  0.015,
		SlipSD:      0.018,
		Lean:        Prior{0.04, 0.04},
		Latency:     Prior{0.15, 0.08},
	}
}

// Problem is what Estimate needs.
type Problem struct {
	Sources  []Source
	From, To float64 // s, run clock: stretch to estimate, starting at rest
	Breaks   []Span  // s: where the pull is known to stop or to set in
	Holes    []Span  // s: where nothing tells speed but driven wheels or the engine
	// GearsTold says that Breaks has the shifts that lie in Holes.
	GearsTold bool
	RestTo    float64                 // s: the car certainly stands from From to RestTo
	Moving    bool                    // it moves at From already: RestTo counts for nothing, and distance from From on
	Step      float64                 // s between knots; 0 means 0.01
	Guess     func(t float64) float64 // m/s, coarse speed at t, for the first linearisation
	Priors    Priors
	Rough     bool  // a first look, that another will follow: settles faster and less surely
	Slip      *Slip // what the strip's clocks gave; nil none
}

// ok reports whether t is in none of the excluded spans.
func (s *Source) ok(t float64) bool {
	for _, e := range s.Exclude {
		if t >= e.From && t <= e.To {
			return false
		}
	}
	return true
}

func sq(x float64) float64 { return x * x }

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
