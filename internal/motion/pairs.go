package motion

import "traplight/internal/num/banded"

// pairs adds the rows of a channel's samples, two at a time where both lie between the same
// knots, as they do where samples are denser than knots.
type pairs struct {
	rows   [2]banded.Row
	res    float64 // residual and weight of the row that waits
	weight float64
	at     int // its first coefficient
	waits  int // 1 where a row waits
}

// border says by which constants the rows to come differ.
func (q *pairs) border(cols ...int) {
	for k := range q.rows {
		row := &q.rows[k]
		row.PCol, row.PJ = append(row.PCol[:0], cols...), row.PJ[:0]
	}
}

// next is the row to fill.
func (q *pairs) next() *banded.Row { return &q.rows[q.waits] }

// add takes the row just filled, whose first coefficient is at.
func (q *pairs) add(s *banded.System, at int, residual, weight float64) {
	if q.waits == 1 && at == q.at {
		s.AddTwo(&q.rows[0], &q.rows[1], [2]float64{q.res, residual}, [2]float64{q.weight, weight})
		q.waits = 0
		return
	}
	if q.waits == 1 {
		q.flush(s)
		q.rows[0], q.rows[1] = q.rows[1], q.rows[0]
	}
	q.res, q.weight, q.at, q.waits = residual, weight, at, 1
}

// flush adds the row that waits.
func (q *pairs) flush(s *banded.System) {
	if q.waits == 1 {
		s.Add(&q.rows[0], q.res, q.weight)
		q.waits = 0
	}
}
