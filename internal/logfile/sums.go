package logfile

// sums are the sums of a straight line by least squares: values over row
// numbers.
type sums struct{ n, k, v, kk, kv float64 }

func (s *sums) add(k, v float64) {
	s.n++
	s.k += k
	s.v += v
	s.kk += k * k
	s.kv += k * v
}

// det is zero when the values do not fix a slope.
func (s *sums) det() float64 { return s.n*s.kk - s.k*s.k }

// slope is in units of v for each row.
func (s *sums) slope() float64 { return (s.n*s.kv - s.k*s.v) / s.det() }
