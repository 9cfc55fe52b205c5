package main

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/trace"
)

// lineAt is when the line is passed, NaN when it is not.
func (p *TruthPass) lineAt() float64 {
	if m := p.Marks["half_mile"]; m != nil {
		return m.At
	}
	return math.NaN()
}

func stripLength(n *car.Notes) float64 {
	return n.Strips[0].Length
}

// endAt sets where the pass ends, on a strip of this length, m: its line, or the lift.
func (p *TruthPass) endAt(length float64) {
	p.End = p.FinalLift
	for _, m := range p.Marks {
		if m != nil && math.Abs(m.X-length) < 0.01 {
			p.End = min(p.End, m.At)
		}
	}
}

// cutAt is what is left of the truth of a log cut to its rows between two moments.
func (p *TruthPass) cutAt(from, to float64) {
	for name, m := range p.Marks {
		if m != nil && m.At > to {
			p.Marks[name] = nil
			if name == "half_mile" {
				p.Trap, p.Complete = nil, false
			}
		}
	}
	p.End = min(p.End, to)
	p.Gone = from > p.Launch
}

// keepRows is the log with the rows between two moments of its own clock.
func keepRows(l *logfile.Log, from, to float64) *logfile.Log {
	c := *l
	lo, hi := 0, len(l.RowTime)
	for lo < hi && l.Clock.Log(l.RowTime[lo]) < from {
		lo++
	}
	for hi > lo && l.Clock.Log(l.RowTime[hi-1]) > to {
		hi--
	}
	start := l.RowTime[lo]
	c.RowTime = make([]float64, hi-lo)
	for i := range c.RowTime {
		c.RowTime[i] = l.RowTime[lo+i] - start
	}
	c.Parts, c.Breaks = []int{0}, nil
	if c.Clock.Segments = slices.Clone(l.Clock.Segments); len(c.Clock.Segments) == 0 {
		c.Clock.Segments = append(c.Clock.Segments, trace.Segment{})
	}
	for i := range c.Clock.Segments {
		c.Clock.Segments[i].FromRun -= start
		c.Clock.Segments[i].Offset += start
	}
	c.Columns = slices.Clone(l.Columns)
	for i := range c.Columns {
		k := &c.Columns[i]
		k.Values = k.Values[lo:hi]
		if k.Text != nil {
			k.Text = k.Text[lo:hi]
		}
	}
	return &c
}
