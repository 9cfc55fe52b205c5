// Package dictionary decides which channel of a log is which quantity, in which
// unit, at which true rate, and how sure that is: from name, unit and the
// samples' own behaviour.
package dictionary

import (
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// Channel is a column of a log with its meaning.
type Channel struct {
	Name       string        // as in the file
	Quantity   quantity.Name // Unknown when not recognised
	ByName     quantity.Name // what the name alone says where the readings do not bear it out, else Unknown
	Index      int           // bank, cylinder or sensor number from 1; 0 when there is but one
	Unit       string        // unit as understood, in the dictionary's spelling: "kPa", "psi gauge", "AFR gasoline", …
	Gauge      bool          // the file's pressure is over the barometer
	RateHz     float64       // true refresh rate, Hz, found from the samples' changes
	Confidence float64       // 0–1 that Quantity and Unit are right
	Problems   []string      // "stuck from 12.1 s", in the log's own clock
	Stuck      []Span        // where its reading stood still though the thing cannot have, left out of Trace
	Stepped    []Span        // behind a shift at once that no thing with its inertia can make, left out of Trace but where a receiver shifts once
	Spikes     []float64     // s, run clock: lone readings far off both neighbours, left out of Trace
	Resolution float64       // step of the printed numbers, SI unit of the quantity; 0 when none is seen
	Trace      trace.Trace   // fresh samples only, SI unit of the quantity, run clock

	held      bool      // the file repeats its last value
	rhythm    bool      // the grid of its refreshes is known
	rowTime   []float64 // s, run clock: the rows, to tell missing rows from missing readings
	toldUnit  bool      // the unit is the file's own, or was settled against other channels
	nameScore float64   // 0–1, what the name alone says
	own       []float64 // s, run clock: the instants of the channel's own grid, nil when rows are as good
}

// Span is a stretch of time.
type Span struct {
	From, To float64 // s, run clock
}

// Set is all channels of a log.
type Set struct {
	Channels []Channel
	Clock    trace.Clock // run clock to the log's own
	Notes    []string    // what was assumed, a sentence each
	// Barometer is the air pressure, Pa absolute, against which gauges were
	// counted; BarometerFrom says whence: "given", "log" or "assumed".
	Barometer     float64
	BarometerFrom string
}

// First returns the most confident channel of a quantity, nil when there is none.
func (s *Set) First(q quantity.Name) *Channel {
	var best *Channel
	for i := range s.Channels {
		c := &s.Channels[i]
		if c.Quantity == q && c.Trace.Len() > 0 && (best == nil || c.Confidence > best.Confidence) {
			best = c
		}
	}
	return best
}

// All returns every channel of a quantity that has samples, in the file's order.
func (s *Set) All(q quantity.Name) []*Channel {
	var out []*Channel
	for i := range s.Channels {
		if c := &s.Channels[i]; c.Quantity == q && c.Trace.Len() > 0 {
			out = append(out, c)
		}
	}
	return out
}
