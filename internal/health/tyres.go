package health

import (
	"math"
	"strings"

	"traplight/internal/car"
	"traplight/internal/num/stats"
)

// Other tyres are no fault. Between engine, wheels and road stands the sheet's radius, in
// the wheels' readings the circumference that the logger was set to, and whether the one
// was changed with the other nobody knows: so both are covariates of whole passes for
// every relation of wheels, engine and road.

// tyreSummary is what the sheet said of the wheels when a pass was run.
type tyreSummary struct {
	Radius float64 `json:"radius"` // m, unloaded; 0 not told
	Circum float64 `json:"circum"` // m, set in the logger; 0 not told
}

const (
	perTyre   = 0.01  // 1, natural logarithm: the unit of the covariates
	leastTyre = 0.002 // 1, what the sheet's figure must have changed by: wear is no change
)

func tyresOf(sheet *car.Sheet) *tyreSummary {
	return &tyreSummary{Radius: sheet.TyreRadius.Value, Circum: sheet.LoggerCircum}
}

// byTyre says that a watch compares engine, wheels and road.
func byTyre(id string) bool {
	switch id {
	case "engine over wheels", "engine over road", "tyre slip", "rolling radius":
		return true
	}
	return strings.HasPrefix(id, "wheel ")
}

// tyresApart are the covariates of the wheels: what the sheet says of radius and
// circumference otherwise than at earlier passes.
func (f *frame) tyresApart(past []Summary) []covariate {
	own := tyresOf(f.sheet)
	var out []covariate
	for _, x := range []struct {
		name string
		of   func(t *tyreSummary) float64
	}{{"tyres", func(t *tyreSummary) float64 { return t.Radius }}, {"circumference", func(t *tyreSummary) float64 { return t.Circum }}} {
		c := covariate{name: x.name, level: func(l *look) float64 {
			if byTyre(l.id) {
				return perTyre
			}
			return 0
		}, slopes: func(t term, level float64) float64 {
			if t.name == "v²" || strings.HasPrefix(t.name, "grip") {
				return level / 2 // another carcass grows and slips otherwise
			}
			return 0
		}}
		changed := false
		for _, s := range past {
			d := 0.0
			if s.Tyres != nil && x.of(s.Tyres) > 0 && x.of(own) > 0 {
				d = math.Log(x.of(s.Tyres)/x.of(own)) / perTyre
			}
			changed = changed || math.Abs(d)*perTyre > leastTyre
			c.apart = append(c.apart, d)
		}
		if changed {
			out = append(out, c)
		}
	}
	return out
}

// mostGrip is the most grip that the driven tyres used at full throttle, the upper
// twentieth left out, 1; 0 where it is not known.
func (f *frame) mostGrip() float64 {
	var g []float64
	for i, v := range f.usedGrip {
		if f.full[i] && v == v {
			g = append(g, v)
		}
	}
	if len(g) < 50 {
		return 0
	}
	return stats.Quantile(g, 0.95)
}

const (
	perGrip   = 0.1  // 1, unit of the covariate
	slippery  = 0.85 // of the earlier passes' grip, below which a strip is another
	slipMoves = 0.02 // 1, that tyres may slip more or less for the same grip where there is perGrip less of it
)

// gripApart is the covariate of a strip that is more slippery than ever: tyres slip the
// more for the same pull the nearer they are to what there is.
func (f *frame) gripApart(past []Summary) []covariate {
	now := f.mostGrip()
	var usual []float64
	for _, s := range past {
		if s.Grip > 0 {
			usual = append(usual, s.Grip)
		}
	}
	if now == 0 || len(usual) == 0 || now > slippery*stats.Median(usual) {
		return nil
	}
	c := covariate{name: "grip", level: func(l *look) float64 {
		switch l.id {
		case "engine over road", "tyre slip":
			return slipMoves
		}
		return 0
	}, slopes: func(t term, level float64) float64 {
		if strings.HasPrefix(t.name, "grip") {
			return level
		}
		return 0
	}}
	for _, s := range past {
		d := 0.0
		if s.Grip > 0 {
			d = (s.Grip - now) / perGrip
		}
		c.apart = append(c.apart, d)
	}
	return []covariate{c}
}
