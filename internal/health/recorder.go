package health

import "strings"

// Another recorder is no fault: it scales, delays and samples otherwise. A watch whose
// channels bear other names than in an earlier pass was read by another one, and its
// level and what hangs on delays may have stepped in between.

// recorderLevel is the step of a watch's level at a change of recorder, standard
// deviation, in multiples of what matters.
const recorderLevel = 2.0

// from names the channels that a watch reads, the sensors behind them as far as the sheet tells,
// and what took the place of one that lacks.
func (s *spec) from() string { return strings.Join(s.channels, "|") + s.sensors + s.without }

// uncharged marks a watch of a pass that has no thermometer for its charge: an assumed
// temperature is a measure for no measured one, nor the other way round.
const uncharged = "|no charge temperature"

// alikeFed says whether a digest was made of what the look has to go by.
func (l *look) alikeFed(d *digest) bool {
	return (d.Given == "" || d.Given == l.given) && strings.HasSuffix(d.From, uncharged) == (l.without != "")
}

// recorderApart is the covariate of the recorder for one watch: -1 where an earlier
// pass was read by another; nil where none was.
func (l *look) recorderApart(ds []*digest) *covariate {
	c := &covariate{name: "recorder", slopes: func(t term, _ float64) float64 {
		if sudden[t.name] {
			return t.sd / 2
		}
		return 0
	}}
	c.level = func(l *look) float64 { return recorderLevel * l.small }
	other := false
	for _, d := range ds {
		v := 0.0
		if d.From != "" && d.From != l.from() {
			v, other = -1, true
		}
		c.apart = append(c.apart, v)
	}
	if !other {
		return nil
	}
	return c
}

// strange says that every digest was read by another recorder, whose noise says
// little of this one's.
func (l *look) strange(ds []*digest) bool {
	for _, d := range ds {
		if d.From == "" || d.From == l.from() {
			return false
		}
	}
	return len(ds) > 0
}
