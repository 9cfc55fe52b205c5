package page

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// group is a question and the traces that show its answer.
type group struct {
	title      string
	quantities []quantity.Name
}

var groups = []group{
	{"Engine and driver", []quantity.Name{quantity.EngineSpeed, quantity.Throttle, quantity.Clutch, quantity.Brake, quantity.IgnitionAngle, quantity.TorqueCut, quantity.Knock}},
	{"Boost and air", []quantity.Name{quantity.ManifoldPressure, quantity.ExhaustPressure, quantity.TurboSpeed, quantity.WastegateDuty, quantity.CompressorOutletTemperature, quantity.ChargeTemperature, quantity.IntakeTemperature, quantity.Nitrous}},
	{"Fuel and heat", []quantity.Name{quantity.Lambda, quantity.FuelFlow, quantity.FuelVolumeFlow, quantity.InjectorDuty, quantity.FuelPressure, quantity.ExhaustTemperature}},
	{"Oil, water, volts", []quantity.Name{quantity.OilPressure, quantity.OilTemperature, quantity.CoolantPressure, quantity.CoolantTemperature, quantity.CrankcasePressure, quantity.BatteryVoltage}},
}

// Evidence is one group's picture.
type evidence struct {
	Title string
	Chart template.HTML
}

// traces draws the log's own samples along the strip, a row for each quantity.
func traces(p *pass.Pass, set *dictionary.Set, w quantity.World) []evidence {
	r := runOf(p)
	if r == nil || set == nil {
		return nil
	}
	var out []evidence
	for _, g := range groups {
		var rows []traceRow
		for _, q := range g.quantities {
			if row, ok := rowOf(r, set, q, w); ok {
				rows = append(rows, row)
			}
		}
		if len(rows) > 0 {
			out = append(out, evidence{g.title, traceChart(g.title, r, rows, w)})
		}
	}
	return out
}

type traceRow struct {
	name, unit string
	x, y       [][]float64
	lo, hi     float64
}

func rowOf(r *run, set *dictionary.Set, q quantity.Name, w quantity.World) (traceRow, bool) {
	d := quantity.DimensionOf(q)
	row := traceRow{name: strings.ReplaceAll(string(q), "_", " "), unit: unitOf(w, d), lo: math.Inf(1), hi: math.Inf(-1)}
	zero := 0.0
	if q == quantity.ManifoldPressure && r.p.AirPath != nil {
		row.name, zero = "boost", r.p.AirPath.ManifoldZero
	}
	for _, c := range set.All(q) {
		tr := c.Trace.Slice(r.t[0], r.t[len(r.t)-1])
		var x, y []float64
		for i := range tr.T {
			at := r.at(tr.T[i])
			if math.IsNaN(at) || at > r.end {
				continue
			}
			v := w.Of(d, tr.V[i]-zero)
			x, y = append(x, at), append(y, v)
			row.lo, row.hi = min(row.lo, v), max(row.hi, v)
		}
		if len(x) > 2 {
			row.x, row.y = append(row.x, x), append(row.y, y)
		}
	}
	// A column that never changes shows nothing.
	return row, len(row.x) > 0 && row.hi > row.lo
}

func traceChart(title string, r *run, rows []traceRow, w quantity.World) template.HTML {
	const high, skip = 74.0, 30.0
	bands := r.bands()
	return both(title+": the log's samples along the strip", func(width float64) *svg {
		s := &svg{w: width, h: 36 + float64(len(rows))*(high+skip) + 30}
		a := axes{left: 56, right: width - 16, x0: 0, x1: r.end}
		if width < 600 {
			a.left, a.right = 44, width-6
		}
		for i, row := range rows {
			a.top = 24 + float64(i)*(high+skip)
			a.bottom = a.top + high
			pad := 0.06 * (row.hi - row.lo)
			a.y0, a.y1 = row.lo-pad, row.hi+pad
			for k, b := range bands {
				s.rect(fmt.Sprintf("band band%d", k%2), a.x(b.from), a.top, a.x(b.to)-a.x(b.from), high)
				if i == 0 {
					s.text("bandno", "middle", a.x((b.from+b.to)/2), a.top+14, fmt.Sprint(b.gear))
				}
			}
			a.yGrid(s, 2)
			name := row.name
			if row.unit != "" {
				name += ", " + row.unit
			}
			s.text("unit rowname", "start", a.left, a.top-6, name)
			for k := range row.x {
				tx, ty := thin(row.x[k], row.y[k], int(a.right-a.left)/2)
				s.path(fmt.Sprintf("ln thin p%d", k%6+1), each(tx, a.x), each(ty, a.y))
			}
		}
		a.x0, a.x1 = w.Of(quantity.DimLength, 0), w.Of(quantity.DimLength, r.end)
		a.xGrid(s, pick(width < 600, 4, 9), false)
		s.text("unit", "end", a.right, a.bottom+32, "distance, "+unitOf(w, quantity.DimLength))
		return s
	})
}
