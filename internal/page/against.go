package page

import (
	"fmt"
	"html/template"
	"math"
	"sort"

	"traplight/internal/compare"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Axis is what passes are laid over each other by.
type Axis string

// The axes of a comparison.
const (
	ByDistance    Axis = "distance"
	ByTime        Axis = "time"
	ByRoadSpeed   Axis = "road speed"
	ByEngineSpeed Axis = "engine speed"
)

// Axes are all of them, in the order in which they are offered.
func Axes() []Axis { return []Axis{ByDistance, ByTime, ByRoadSpeed, ByEngineSpeed} }

// overlay is one field of an overlay: a column of each pass against the axis.
type overlay struct {
	title string
	unit  string
	x, y  [][]float64 // by pass; NaN lifts the pen
	gear  []int       // of the first pass's samples, to write at its lines; nil none
}

// DrawAgainst lays passes over each other by another axis than distance: speed and
// acceleration against time, acceleration and wheel torque against road speed or
// engine speed, at full throttle outside shifts.
func DrawAgainst(passes []compare.Pass, by Axis, w quantity.World) template.HTML {
	accel := overlay{title: "acceleration", unit: unitOf(w, quantity.DimAcceleration)}
	other := overlay{title: "wheel torque at full throttle", unit: unitOf(w, quantity.DimTorque)}
	if by == ByTime {
		other = overlay{title: "speed", unit: unitOf(w, quantity.DimSpeed)}
	}
	var names []string
	for _, c := range passes {
		names = append(names, c.Name)
		x, a, o, gear := columnsBy(c.Pass, by, w)
		if by == ByEngineSpeed && other.gear == nil {
			other.gear = gear
		}
		accel.x, accel.y = append(accel.x, x), append(accel.y, a)
		other.x, other.y = append(other.x, x), append(other.y, o)
	}
	title := map[Axis]string{ByTime: "time from rollout, s", ByRoadSpeed: "road speed, " + unitOf(w, quantity.DimSpeed), ByEngineSpeed: "engine speed, rpm"}[by]
	fields := []overlay{other, accel}
	if by == ByEngineSpeed {
		fields = fields[:1] // acceleration at one engine speed is another in each gear
	}
	return both("Passes by "+string(by), func(width float64) *svg {
		s := &svg{w: width}
		y := 20.0
		for i, o := range fields {
			y = o.draw(s, y, names, by, i == len(fields)-1, title)
		}
		s.h = y
		return s
	})
}

// columnsBy gives axis, acceleration and the other column of a pass, all in the viewer's
// units, smoothed over 0.1 s.
func columnsBy(p *pass.Pass, by Axis, w quantity.World) (x, accel, other []float64, gear []int) {
	m := &p.Motion
	if m.Step <= 0 {
		return nil, nil, nil, nil
	}
	end := math.Inf(1)
	if p.Finish != nil {
		end = p.Finish.Value
	} else if p.Lift != nil {
		end = *p.Lift
	}
	_, torque := wheelTorque(p)
	half := int(math.Round(0.05 / m.Step))
	smooth := mean(m.A, half)
	// boost comes back after a shift at about one engine speed: that would only draw knots
	const back = 0.3 // s
	shifting := func(t float64) bool {
		for _, k := range p.Shifts {
			if t >= k.Start.Value-0.05 && t <= k.End.Value+back {
				return true
			}
		}
		return false
	}
	type dot struct {
		x, a, o float64
		gear    int
	}
	var dots []dot
	nan := math.NaN()
	for i := range m.V {
		t := m.Start + float64(i)*m.Step
		if t < p.Launch.Value || t > end {
			continue
		}
		full := p.Force != nil && i < len(p.Force.FullThrottle) && p.Force.FullThrottle[i]
		d := dot{x: nan, a: w.Of(quantity.DimAcceleration, smooth[i]), o: nan}
		if p.Force != nil && i < len(p.Force.Gear) {
			d.gear = p.Force.Gear[i]
		}
		if i < len(torque) && full {
			d.o = w.Of(quantity.DimTorque, torque[i])
		}
		switch by {
		case ByTime:
			d.x, d.o = t-p.Rollout.Value, w.Of(quantity.DimSpeed, m.V[i])
		case ByRoadSpeed:
			d.x = w.Of(quantity.DimSpeed, m.V[i])
		case ByEngineSpeed:
			if p.Force != nil && i < len(p.Force.EngineSpeed) && full && !shifting(t) {
				d.x = p.Force.EngineSpeed[i] * 30 / math.Pi
			}
		}
		if math.IsNaN(d.x) {
			d.a, d.o = nan, nan
		}
		dots = append(dots, d)
	}
	if by == ByRoadSpeed {
		sort.SliceStable(dots, func(i, j int) bool { return dots[i].x < dots[j].x })
	}
	for _, d := range dots {
		x, accel, other, gear = append(x, d.x), append(accel, d.a), append(other, d.o), append(gear, d.gear)
	}
	return x, accel, other, gear
}

// mean over half samples to each side.
func mean(v []float64, half int) []float64 {
	sum := make([]float64, len(v)+1)
	for i, x := range v {
		sum[i+1] = sum[i] + x
	}
	out := make([]float64, len(v))
	for i := range v {
		lo, hi := max(0, i-half), min(len(v), i+half+1)
		out[i] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}

// draw draws one field from height y down; last has the axis below it.
func (o *overlay) draw(s *svg, y float64, names []string, by Axis, last bool, title string) float64 {
	small := s.w < 600
	f := axes{left: 52, right: s.w - 130, top: y + 20, bottom: y + 230, x0: math.Inf(1), x1: math.Inf(-1)}
	if small {
		f.left, f.right = 40, s.w-8
	}
	for i := range o.x {
		for k, v := range o.x[i] {
			if !math.IsNaN(v) && !math.IsNaN(o.y[i][k]) {
				f.x0, f.x1 = min(f.x0, v), max(f.x1, v)
				f.y0, f.y1 = min(f.y0, o.y[i][k]), max(f.y1, o.y[i][k])
			}
		}
	}
	if !(f.x1 > f.x0) || !(f.y1 > f.y0) {
		return y
	}
	if by != ByEngineSpeed {
		f.x0 = min(0, f.x0)
	}
	f.y1 *= 1.05
	f.yGrid(s, 4)
	s.text("unit", "start", f.left, f.top-8, o.title+", "+o.unit)
	for k, last := range o.gear {
		// the gear stands where its line ends
		down := k+1 < len(o.gear) && o.gear[k+1] == last && !math.IsNaN(o.y[0][k+1])
		if last > 0 && !math.IsNaN(o.y[0][k]) && !down {
			s.text("bandno", "middle", f.x(o.x[0][k]), f.y(o.y[0][k])-10, fmt.Sprint(last))
		}
	}
	var ends []label
	for i := range o.x {
		if len(o.x[i]) == 0 {
			continue
		}
		class := fmt.Sprintf("p%d", i%6+1)
		tx, ty := thin(o.x[i], o.y[i], int(f.right-f.left))
		s.path("ln thin "+class, each(tx, f.x), each(ty, f.y))
		at := f.bottom
		for k := len(o.y[i]) - 1; k >= 0; k-- {
			if !math.IsNaN(o.y[i][k]) {
				at = f.y(o.y[i][k])
				break
			}
		}
		ends = append(ends, label{at + 4, "value f" + class, names[i]})
	}
	if !small {
		for _, l := range spread(ends, 16, f.top+8, f.bottom+4) {
			s.text(l.class, "start", f.right+8, l.y, l.text)
		}
	}
	f.xGrid(s, pick(small, 4, 9), true)
	if last {
		s.text("unit", "end", f.right, f.bottom+32, title)
		return f.bottom + 40
	}
	return f.bottom + 30
}
