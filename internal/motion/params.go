package motion

import "traplight/internal/num/banded"

// param is one constant of a sensor, an unknown of the border.
type param struct {
	name  string
	mean  float64
	sd    float64
	value float64
}

// params is the list of constants, found by name once and by index after.
type params struct {
	list  []param
	known map[string]Prior // what earlier passes settled, by name
}

func (p *params) add(name string, prior Prior) int {
	if q, ok := p.known[name]; ok && q.SD > 0 && q.SD < prior.SD {
		prior = q
	}
	p.list = append(p.list, param{name, prior.Mean, prior.SD, prior.Mean})
	return len(p.list) - 1
}

func (p *params) val(i int) float64 { return p.list[i].value }

// addPriors adds each constant's prior as a row.
func (p *params) addPriors(s *banded.System, row *banded.Row) float64 {
	cost := 0.0
	for i := range p.list {
		q := &p.list[i]
		w := 1 / (q.sd * q.sd)
		row.Col, row.J = row.Col[:0], row.J[:0]
		row.PCol = append(row.PCol[:0], i)
		row.PJ = append(row.PJ[:0], 1)
		r := q.mean - q.value
		s.Add(row, r, w)
		cost += w * r * r
	}
	return cost
}
