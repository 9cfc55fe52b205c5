package web

import (
	"fmt"
	"html/template"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
	"traplight/internal/trace"
)

// channelsView is for settling what channels mean.
type channelsView struct {
	Sum, File, Car string
	Unsure         []channelRow
	Sure           []channelRow
	Quantities     []string
	Back           string
}

type channelRow struct {
	report.Channel
	Is, Sure string
	Shape    template.HTML // its samples
	Range    string
	Settled  string // what the crew said it is
}

func (s *Server) channels(w http.ResponseWriter, r *http.Request) error {
	return s.showChannels(w, r, "")
}

// showChannels shows them; trouble says what could not be kept.
func (s *Server) showChannels(w http.ResponseWriter, r *http.Request, trouble string) error {
	ctx := r.Context()
	log, passes, err := s.shop.logBySum(r, r.PathValue("sum"))
	if err != nil {
		return err
	}
	rep, _, err := s.shop.report(ctx, log.SHA256)
	if err != nil {
		return err
	}
	v := channelsView{Sum: log.SHA256, File: log.File, Car: log.Car, Quantities: quantityNames()}
	one := store.Pass{SHA256: log.SHA256, File: log.File, Car: log.Car}
	if len(passes) > 0 {
		v.Back = "/passes/" + url.PathEscape(passes[0].Name)
		one = passes[0]
	}
	src, err := s.shop.source(ctx, one)
	if err != nil {
		return err
	}
	settled, err := s.shop.st.Corrections(ctx, log.Car)
	if err != nil {
		return err
	}
	open := unsure(rep.Log.Channels)
	for _, c := range rep.Log.Channels {
		row := channelRow{Channel: c, Is: "not recognised", Sure: percent(c.Confidence), Settled: settled[c.Name]}
		if c.Quantity != nil {
			row.Is = quantityWords(*c.Quantity)
			if c.Index != nil {
				row.Is += fmt.Sprintf(" %d", *c.Index)
			}
		}
		isOpen := slices.ContainsFunc(open, func(o report.Channel) bool { return o.Name == c.Name })
		if ch := channelNamed(src.Set, c.Name); ch != nil && ch.Trace.Len() > 1 {
			row.Shape = sparkline(ch.Trace)
			row.Range = rangeOf(ch.Trace, ch.Quantity, ch.Unit, s.world(r, log.Car))
		}
		if isOpen && row.Settled == "" {
			v.Unsure = append(v.Unsure, row)
		} else {
			v.Sure = append(v.Sure, row)
		}
	}
	return s.show(w, r, "channels", frame{Title: "Channels of " + log.File, Here: "cars", Body: v, Car: log.Car}, trouble)
}

// logBySum is a log of the store with its passes.
func (h *shop) logBySum(r *http.Request, sum string) (store.Log, []store.Pass, error) {
	logs, err := h.st.Logs(r.Context())
	if err != nil {
		return store.Log{}, nil, err
	}
	for _, l := range logs {
		if l.SHA256 == sum {
			passes, err := h.st.Passes(r.Context(), store.Filter{Logs: []string{sum}})
			return l, passes, err
		}
	}
	return store.Log{}, nil, status(http.StatusNotFound, fmt.Errorf("there is no such log"))
}

func quantityNames() (out []string) {
	for _, n := range known {
		out = append(out, string(n))
	}
	slices.Sort(out)
	return out
}

// rangeOf tells lowest and highest of the samples.
func rangeOf(x trace.Trace, q quantity.Name, unit string, w quantity.World) string {
	lo, hi := slices.Min(x.V), slices.Max(x.V)
	if q == "" || q == quantity.Unknown {
		return strings.TrimSpace(fmt.Sprintf("%.4g to %.4g %s", lo, hi, unit))
	}
	return w.Value(q, lo) + " to " + w.Value(q, hi)
}

// sparkline draws a channel's samples over the whole log.
func sparkline(x trace.Trace) template.HTML {
	const wide, high = 300.0, 56.0
	lo, hi := slices.Min(x.V), slices.Max(x.V)
	span := math.Max(hi-lo, 1e-12)
	t0, t1 := x.T[0], x.T[len(x.T)-1]
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="spark" viewBox="0 0 %g %g" preserveAspectRatio="none" aria-hidden="true"><path class="ln p1" d="`, wide, high)
	for i, k := range thin(x, 300) {
		step := "L"
		if i == 0 {
			step = "M"
		}
		fmt.Fprintf(&b, "%s%.1f %.1f", step, wide*(x.T[k]-t0)/math.Max(t1-t0, 1e-9), high-2-(high-4)*(x.V[k]-lo)/span)
	}
	b.WriteString(`"/></svg>`)
	return template.HTML(b.String())
}

// settleChannels remembers for the car what its channels mean.
func (s *Server) settleChannels(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
	log, _, err := s.shop.logBySum(r, r.PathValue("sum"))
	if err != nil {
		return err
	}
	if err := r.ParseForm(); err != nil {
		return wrong("the form could not be read: %v", err)
	}
	settled, err := s.shop.st.Corrections(r.Context(), log.Car)
	if err != nil {
		return err
	}
	names, meanings := r.PostForm["name"], r.PostForm["is"]
	units := r.PostForm["unit"]
	if len(names) != len(meanings) || len(units) != len(names) {
		return wrong("the form is not whole; load the page again")
	}
	for i, name := range names {
		meaning := strings.TrimSpace(meanings[i])
		if meaning == "" {
			if settled[name] != "" && r.PostFormValue("back") != "" {
				if err := s.shop.st.Correct(r.Context(), log.Car, name, ""); err != nil {
					return err
				}
			}
			continue
		}
		meaning = asKey(meaning)
		word, _, _ := strings.Cut(strings.ReplaceAll(meaning, "[", " "), " ")
		if word != "none" && !quantity.Exists(quantity.Name(word)) {
			return s.showChannels(w, r, fmt.Sprintf("%q is not a quantity that is known; %s was left as it is", word, name))
		}
		if u := strings.TrimSpace(units[i]); u != "" {
			meaning += " " + u
		}
		if settled[name] != meaning {
			if err := s.shop.st.Correct(r.Context(), log.Car, name, meaning); err != nil {
				return err
			}
		}
	}
	return s.rework(w, r, log.Car, "/logs/"+log.SHA256+"/channels")
}

// asKey brings a quantity in words ("oil pressure", "satellite speed", with its number in
// brackets) to its key; what is none stays as it is.
func asKey(meaning string) string {
	words, number, several := strings.Cut(meaning, "[")
	words = strings.ToLower(strings.Join(strings.Fields(words), " "))
	for _, q := range known {
		if words == quantityWords(string(q)) || words == strings.ReplaceAll(string(q), "_", " ") {
			if several {
				return string(q) + "[" + number
			}
			return string(q)
		}
	}
	return meaning
}

// known are the quantities that a channel may be.
var known = []quantity.Name{
	quantity.EngineSpeed, quantity.Throttle, quantity.Pedal, quantity.ManifoldPressure, quantity.ExhaustPressure,
	quantity.CompressorInletPressure, quantity.CompressorOutletPressure, quantity.BarometricPressure, quantity.FuelPressure, quantity.OilPressure,
	quantity.CoolantPressure, quantity.CrankcasePressure, quantity.BottlePressure, quantity.BrakePressure, quantity.BoostTarget,
	quantity.LambdaTarget, quantity.IntakeTemperature, quantity.CompressorOutletTemperature, quantity.ChargeTemperature, quantity.CoolerWaterTemperature,
	quantity.CoolantTemperature, quantity.OilTemperature, quantity.GearboxTemperature, quantity.FuelTemperature, quantity.ExhaustTemperature,
	quantity.AmbientTemperature, quantity.Humidity, quantity.Lambda, quantity.InjectorDuty, quantity.PumpDuty,
	quantity.FuelTrim, quantity.FuelFlow, quantity.FuelVolumeFlow, quantity.AirFlow, quantity.FuelLevel,
	quantity.EthanolFraction, quantity.IgnitionAngle, quantity.TorqueCut, quantity.LaunchControl, quantity.Knock,
	quantity.TurboSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR,
	quantity.DrivenSpeed, quantity.VehicleSpeed, quantity.GPSSpeed, quantity.Latitude, quantity.Longitude,
	quantity.Altitude, quantity.AccelerationLong, quantity.AccelerationLat, quantity.YawRate, quantity.SteeringAngle,
	quantity.Gear, quantity.Clutch, quantity.Brake, quantity.Nitrous, quantity.WastegateDuty,
	quantity.TyreTemperature, quantity.TyrePressure, quantity.BatteryVoltage, quantity.RideHeight, quantity.ShaftTorque,
	quantity.Heading,
}
