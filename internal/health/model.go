package health

import "traplight/internal/num/changepoint"

// term is a column of a watch's model with what is known of it before any pass
// of the car was seen. Units: that of the watch's reading over the column's.
type term struct {
	name   string
	mean   float64 // over cars
	sd     float64 // between cars
	wander float64 // from pass to pass on a healthy car, standard deviation
}

// spec is what is known of a watch beforehand. Its figures are common practice
// and physics, wide on purpose; the car's own passes narrow them.
type spec struct {
	id      string
	title   string // as in a sentence: "fuel pressure over manifold pressure"
	measure measure
	terms   []term
	noise   float64 // standard deviation of a 0.2 s row, unit of the watch
	corr    float64 // s, correlation time of that noise
	// small is the size below which a departure does not matter; visible the size
	// at which it can be seen and from which a finding starts; unit of the watch.
	small, visible float64
	// smallBelow is small for a departure downward where that is no engine's fault and only
	// a sensor's, unit of the watch; 0: small.
	smallBelow float64
	delay      float64 // s, usual delay of the sensor, taken off start times
	shapes     []changepoint.Shape
	whole      bool // only a departure of the whole pass is looked for
	// rough is how much larger Z comes out than noise makes it while only this one
	// pass bends the curves, 1; 0 means 1.3.
	rough float64
	// least is a floor under how much larger Z comes out than noise makes it, for
	// relations that the columns catch only roughly, 1; 0 means 1.
	least float64
	// lawful relations are laws of physics between readings whose noise is known: how
	// far they stray follows from the rows, of which there are many, and not from
	// the few passes.
	lawful bool
	// wild relations stray within a pass in ways that the columns do not catch: only
	// passes, of which there are few, tell how far, and not rows.
	wild bool
	// spell is what a second's mean strays from its pass's own fit before any pass of the
	// car was seen, unit of the watch; 0 for watches without spells.
	spell float64
	// largest is the size beyond which a departure cannot be, unit of the watch: few
	// rows far from the history's can be bent to anything; 0: no bound.
	largest    float64
	given      string   // what its columns could be reckoned from, see frame.given; "": all that it needs
	sensors    string   // which sensors the sheet says are fitted, "" nothing: see spec.from
	without    string   // what it ought to read and the log lacks, "" nothing: see spec.from
	channels   []string // names of the channels read
	quantities []string // their quantities, for sensor faults and sentences
}

// The shapes of disturbance that watches look for by default.
var (
	step    = changepoint.Shape{}
	byLoad  = changepoint.Shape{ByLoad: true}
	atEnd8  = changepoint.Shape{ByLoad: true, Beyond: 0.8} // what gives out at its end: pump, filter
	atEnd9  = changepoint.Shape{ByLoad: true, Beyond: 0.9}
	ramp3   = changepoint.Shape{Rise: 3}
	rampAll = changepoint.Shape{Rise: 8}
	dip     = changepoint.Shape{Last: 0.6}
	bout    = changepoint.Shape{Last: 2}
	usual   = []changepoint.Shape{step, byLoad, ramp3, dip, bout}
	slow    = []changepoint.Shape{step, ramp3, rampAll}
)

// Columns other than the constant are taken from their centre, the middle of the
// conditions seen, so that a pass's wander is what it is there: a slope may wander
// without moving the level.
type model struct {
	center []float64 // by column, unit of the column; 0 for the constant
	coef   []float64 // mean over passes
	cov    []float64 // p×p: of the mean and of the next pass's wander together
	wander []float64 // SD by term, pass to pass
	noise  float64   // SD of a row, unit of the watch
	corr   float64   // s
	rough  float64   // how many times noise the loose rows scatter, 1 or more
	passes float64   // effective number of passes it rests on
	df     float64   // degrees of freedom behind the passes' spreads
	rowDF  float64   // degrees of freedom behind the rows' noise
	excess float64   // 1 or more: how much larger Z is here than noise makes it
	spell  float64   // what a second's mean strays from its pass's fit, unit of the watch; 0 none
}
