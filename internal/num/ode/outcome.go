package ode

// Outcome says how an integration ended.
type Outcome int

// The outcomes.
const (
	ReachedEnd Outcome = iota
	Stopped            // by an event
	OutOfSteps
	StepTooSmall
)

// String is a sentence with advice.
func (o Outcome) String() string {
	switch o {
	case ReachedEnd:
		return "reached the end of the span"
	case Stopped:
		return "stopped at an event"
	case OutOfSteps:
		return "used up its steps; the problem may be too stiff for an explicit method, or the tolerance too fine"
	case StepTooSmall:
		return "the step shrank to nothing; the slopes may jump or run away there"
	}
	return "unknown outcome"
}

// Stats counts the work.
type Stats struct {
	Accepted, Rejected int // steps
	Bent               int // steps made anew to end at a bend
	Evaluations        int // of the slopes
}

// Solution is what came of it.
type Solution struct {
	T       []float64   // in t's unit
	Y       [][]float64 // by point, in the components' units
	End     float64     // where it ended, in t's unit
	EndY    []float64   // the state there, in the components' units
	Hits    []Hit       // in order of time
	Outcome Outcome
	Stats   Stats
}
