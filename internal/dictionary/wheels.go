package dictionary

import (
	"math"
	"strings"

	"traplight/internal/quantity"
)

// byOrder is the confidence of wheels that are told by their order alone.
const byOrder = 0.6

// wheelsByOrder settles four speeds of one name that differ in a code which the
// lexicon does not know ("Geschw. BE, JE, BH, JH"; "wheel 1 … 4"). Their order is
// taken to be front left, front right, rear left, rear right (common practice, no
// source); which of them share an axle is seen from the samples, since the driven
// wheels slip together.
func wheelsByOrder(cands []*candidate, set *Set, ctx *context) {
	groups := map[string][]*candidate{}
	var stems []string
	for _, c := range cands {
		if stem, _ := c.wheelCode(); stem != "" {
			if groups[stem] == nil {
				stems = append(stems, stem)
			}
			groups[stem] = append(groups[stem], c)
		}
	}
	taken := map[quantity.Name]bool{}
	for _, c := range cands {
		if c.score >= byOrder {
			taken[c.best.q] = true
		}
	}
	for _, stem := range stems {
		g := groups[stem]
		if len(g) != 4 || !isGrid(g) {
			continue
		}
		known := map[quantity.Name]bool{}
		for _, c := range g {
			if q := c.namedWheel(); q != quantity.Unknown {
				known[q] = true
			}
		}
		if len(known) == 4 || len(known) < 4 && taken[quantity.WheelSpeedFL] && !known[quantity.WheelSpeedFL] {
			continue
		}
		order := [4]int{0, 1, 2, 3}
		if a, b := g[0].mean()+g[1].mean()-g[2].mean()-g[3].mean(), g[0].mean()+g[2].mean()-g[1].mean()-g[3].mean(); math.Abs(b) > 2*math.Abs(a) {
			order = [4]int{0, 2, 1, 3} // front left, rear left, front right, rear right
		}
		wheels := []quantity.Name{quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR}
		contradicted := false
		for k, q := range wheels {
			c := g[order[k]]
			named := c.namedWheel()
			contradicted = contradicted || named != quantity.Unknown && named != q
		}
		if contradicted {
			continue
		}
		var names []string
		for k, q := range wheels {
			c := g[order[k]]
			names = append(names, `"`+c.col.Name+`"`)
			if c.best.q == q {
				continue
			}
			r := fitUnit(q, c.unit, c.known, &c.b, ctx)
			c.best, c.score, c.notes = r, byOrder*r.fit, nil
		}
		set.Notes = append(set.Notes, "channels "+strings.Join(names, ", ")+": what their codes mean is not known; they are taken for the wheels front left, front right, rear left, rear right by their order and their slip")
	}
}

func isWheel(q quantity.Name) bool {
	switch q {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR:
		return true
	}
	return false
}

// namedWheel is the wheel that a name tells by itself, however unsure its unit is.
func (c *candidate) namedWheel() quantity.Name {
	if q, score := c.bestName(); isWheel(q) && score >= byOrder {
		return q
	}
	if isWheel(c.best.q) && c.score >= byOrder {
		return c.best.q
	}
	return quantity.Unknown
}

// wheelCode parts a speed's name into what stands before its last word and that
// word, if it may be the code of a wheel: at most three letters, or a number.
func (c *candidate) wheelCode() (stem, code string) {
	speed := isSpeed(c.best.q) && c.best.q != quantity.GPSSpeed || c.score < unsure && c.known && c.unit.Dim == quantity.DimSpeed
	if !speed || c.forced || c.elsewhere != "" || c.b.n == 0 {
		return "", ""
	}
	name := strings.TrimSpace(c.col.Name)
	at := strings.LastIndexAny(name, " _-.")
	if at < 0 { // "speed3"
		at = len(strings.TrimRight(name, "0123456789")) - 1
	}
	code = strings.ToLower(name[at+1:])
	if n := len([]rune(code)); at < 1 || n < 1 || n > 3 {
		return "", ""
	}
	return strings.ToLower(name[:at+1]), code
}

// isGrid says whether four codes count from 1 to 4, or are two letters each of
// which takes two values in all combinations.
func isGrid(g []*candidate) bool {
	var first, second, codes []string
	add := func(list []string, s string) []string {
		for _, x := range list {
			if x == s {
				return list
			}
		}
		return append(list, s)
	}
	counts := true
	for k, c := range g {
		_, code := c.wheelCode()
		counts = counts && code == string(rune('1'+k))
		r := []rune(code)
		if len(r) == 2 {
			first, second = add(first, string(r[0])), add(second, string(r[1]))
		}
		codes = add(codes, code)
	}
	return counts || len(codes) == 4 && len(first) == 2 && len(second) == 2
}

// mean is that of a column's readings, in its own unit.
func (c *candidate) mean() float64 {
	sum, n := 0.0, 0.0
	for _, v := range c.col.Values {
		if v == v {
			sum += v
			n++
		}
	}
	return sum / math.Max(1, n)
}
