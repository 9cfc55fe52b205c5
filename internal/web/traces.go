package web

import (
	"fmt"
	"math"
	"net/http"
	"sort"
	"strconv"

	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/trace"
)

// Traces are the log's samples of a pass, thinned for a screen: of each stretch the
// lowest and the highest, so that no spike is lost.
type Traces struct {
	Pass     string  `json:"pass"`
	From     float64 `json:"from_s"` // s from launch
	To       float64 `json:"to_s"`   // s from launch
	End      float64 `json:"end"`    // of the pass, in the unit of distance
	Distance string  `json:"distance_unit"`
	Gears    []Band  `json:"gears"`
	Shifts   []Pin   `json:"shifts"`
	Pins     []Pin   `json:"findings"`
	Marks    []Pin   `json:"marks"`
	Rows     []Row   `json:"rows"`
}

// Band is the stretch of one gear.
type Band struct {
	Gear  int     `json:"gear"`
	FromT float64 `json:"from_s"` // s from launch
	ToT   float64 `json:"to_s"`   // s from launch
	FromX float64 `json:"from"`   // in the unit of distance
	ToX   float64 `json:"to"`     // in the unit of distance
}

// Pin is a moment with a word.
type Pin struct {
	T    float64 `json:"t_s"` // s from launch
	X    float64 `json:"x"`   // in the unit of distance
	Text string  `json:"text"`
}

// Row is one channel.
type Row struct {
	Question string    `json:"question"`
	Name     string    `json:"name"`     // as in the log
	Quantity string    `json:"quantity"` // "" when not recognised
	Unit     string    `json:"unit"`
	T        []float64 `json:"t_s"` // s from launch
	X        []float64 `json:"x"`   // in the unit of distance
	V        []float64 `json:"v"`   // in Unit
}

// questions group the traces by what they answer.
var questions = []struct {
	title string
	of    []quantity.Name
}{
	{"What happened", []quantity.Name{quantity.VehicleSpeed, quantity.GPSSpeed, quantity.DrivenSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.EngineSpeed, quantity.Throttle, quantity.Clutch, quantity.Gear, quantity.AccelerationLong}},
	{"Where the speed went", []quantity.Name{quantity.ManifoldPressure, quantity.BoostTarget, quantity.ExhaustPressure, quantity.TurboSpeed, quantity.WastegateDuty, quantity.TorqueCut, quantity.IgnitionAngle, quantity.Nitrous, quantity.ChargeTemperature, quantity.IntakeTemperature}},
	{"Fit to go again? Fuel, heat, knock", []quantity.Name{quantity.Lambda, quantity.FuelPressure, quantity.FuelFlow, quantity.InjectorDuty, quantity.ExhaustTemperature, quantity.Knock}},
	{"Fit to go again? Oil, water, volts", []quantity.Name{quantity.OilPressure, quantity.OilTemperature, quantity.CoolantPressure, quantity.CoolantTemperature, quantity.CrankcasePressure, quantity.BatteryVoltage}},
}

func questionOf(q quantity.Name) (title string, place int) {
	for i, g := range questions {
		for k, n := range g.of {
			if n == q {
				return g.title, 100*i + k
			}
		}
	}
	return "The rest", 1000
}

func (s *Server) traces(w http.ResponseWriter, r *http.Request) error {
	p, err := s.shop.st.FindOne(r.Context(), r.PathValue("name"))
	if err != nil {
		return err
	}
	src, err := s.shop.source(r.Context(), p)
	if err != nil {
		return err
	}
	if p.Number >= len(src.Passes) {
		return status(http.StatusNotFound, fmt.Errorf("%s: pass %d is not found in it any more", p.File, p.Number+1))
	}
	points := 1200
	if n, err := strconv.Atoi(r.URL.Query().Get("points")); err == nil {
		points = min(max(n, 50), 8000)
	}
	rep, _, err := s.shop.report(r.Context(), p.SHA256)
	if err != nil {
		return err
	}
	t := tracesOf(*src, src.Passes[p.Number], s.world(r, p.Car), number(r, "from"), number(r, "to"), points)
	t.Pass = p.Name
	if h := rep.Passes[min(p.Number, len(rep.Passes)-1)].Health; h != nil {
		t.pins(h, *src, src.Passes[p.Number], s.world(r, p.Car))
	}
	return writeJSON(w, r, http.StatusOK, t)
}

func number(r *http.Request, key string) float64 {
	v, err := strconv.ParseFloat(r.URL.Query().Get(key), 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}

// way is a pass's place against time.
type way struct {
	p      *pass.Pass
	launch float64 // s, run clock
	world  quantity.World
}

// x is the place in the viewer's unit at a time on the run clock.
func (y way) x(t float64) float64 {
	m := &y.p.Motion
	if len(m.X) == 0 || m.Step <= 0 {
		return 0
	}
	f := (t - m.Start) / m.Step
	i := int(math.Floor(f))
	var v float64
	switch {
	case i < 0:
		v = m.X[0]
	case i >= len(m.X)-1:
		v = m.X[len(m.X)-1]
	default:
		v = m.X[i] + (f-float64(i))*(m.X[i+1]-m.X[i])
	}
	return tidy(y.world.Of(quantity.DimLength, v), 2)
}

func tracesOf(src report.Source, p *pass.Pass, w quantity.World, from, to float64, points int) *Traces {
	y := way{p, p.Launch.Value, w}
	m := &p.Motion
	t := &Traces{Distance: w.Unit(quantity.DimLength).Symbol, Gears: []Band{}, Shifts: []Pin{}, Pins: []Pin{}, Marks: []Pin{}, Rows: []Row{}}
	last := m.Start + float64(len(m.X))*m.Step
	if p.Finish != nil {
		last = math.Min(last, p.Finish.Value+3)
	} else if p.Lift != nil {
		last = math.Min(last, *p.Lift+3)
	}
	t.From, t.To = -2, tidy(last-y.launch, 3)
	t.End = y.x(last)
	if from >= t.From && from < t.To {
		t.From = from
	}
	if to > t.From && to < t.To {
		t.To = to
	}
	for _, g := range p.Gears {
		t.Gears = append(t.Gears, Band{g.Gear, tidy(g.Start-y.launch, 3), tidy(g.End-y.launch, 3), y.x(g.Start), y.x(g.End)})
	}
	for _, k := range p.Shifts {
		t.Shifts = append(t.Shifts, Pin{tidy(k.Start.Value-y.launch, 3), y.x(k.Start.Value), fmt.Sprintf("%d to %d", k.From, k.To)})
	}
	for _, k := range p.Splits {
		t.Marks = append(t.Marks, Pin{tidy(k.At-y.launch, 3), y.x(k.At), k.Mark})
	}
	type placed struct {
		Row
		at int
	}
	var rows []placed
	for i := range src.Set.Channels {
		c := &src.Set.Channels[i]
		part := c.Trace.Slice(y.launch+t.From, y.launch+t.To)
		if part.Len() < 2 {
			continue
		}
		title, at := questionOf(c.Quantity)
		d := quantity.DimensionOf(c.Quantity)
		row := Row{Question: title, Name: c.Name, Unit: c.Unit}
		zero := 0.0
		if c.Quantity != "" && c.Quantity != quantity.Unknown {
			row.Quantity, row.Unit = quantityWords(string(c.Quantity)), w.Unit(d).Symbol
			if c.Index > 0 {
				row.Quantity += " " + strconv.Itoa(c.Index)
			}
			if c.Quantity == quantity.ManifoldPressure && p.AirPath != nil {
				row.Quantity, zero = "boost", p.AirPath.ManifoldZero
			}
		}
		for _, k := range thin(part, points) {
			v := part.V[k]
			if row.Quantity != "" {
				v = w.Of(d, v-zero)
			}
			row.T = append(row.T, tidy(part.T[k]-y.launch, 4))
			row.X = append(row.X, y.x(part.T[k]))
			row.V = append(row.V, short(v))
		}
		rows = append(rows, placed{row, at})
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].at < rows[j].at })
	for _, r := range rows {
		t.Rows = append(t.Rows, r.Row)
	}
	return t
}

// pins puts the findings where they start.
func (t *Traces) pins(h *report.Health, src report.Source, p *pass.Pass, w quantity.World) {
	y := way{p, p.Launch.Value, w}
	for _, f := range h.Findings {
		if f.StartS == nil {
			continue
		}
		at := runClock(src.Set.Clock, *f.StartS)
		t.Pins = append(t.Pins, Pin{tidy(at-y.launch, 3), y.x(at), f.Kind})
	}
}

// runClock is the moment on the run clock of one on the log's own, s.
func runClock(c trace.Clock, own float64) float64 {
	for _, g := range c.Segments {
		if run := own - g.Offset; math.Abs(c.Log(run)-own) < 1e-9 {
			return run
		}
	}
	return own
}
