package forecast

import (
	"encoding/json"
	"io"
	"math"

	"traplight/internal/ledger"
)

// Answer is the forecast as one JSON object; the names are fixed by the design.
type Answer struct {
	Trap     Speeds        `json:"trap"`
	Time     Times         `json:"time"`
	Target   *Target       `json:"target"`
	Top      float64       `json:"top_speed_mps"` // m/s, median of the highest speed
	Stopping Distances     `json:"stopping_m"`
	Binding  []string      `json:"binding"`
	Ledger   []ledger.Line `json:"ledger"`
	Notes    []string      `json:"notes"`

	Gain     *Speeds `json:"gain,omitempty"` // m/s, over the trap speed measured in the pass before
	Next     string  `json:"next,omitempty"`
	ShutDown float64 `json:"shut_down_m,omitempty"` // m after the line
	Decel    float64 `json:"deceleration_mps2"`     // m/s², assumed after the line
	TopP95   float64 `json:"top_speed_p95_mps"`     // m/s, passed in one pass of twenty
	Recorded string  `json:"recorded,omitempty"`    // when it was written down
	Hash     string  `json:"sha256,omitempty"`      // of the record

	Standard float64         `json:"trap_standard_air_mps,omitempty"` // m/s, what the settings would give in the standard atmosphere at sea level, still
	Past     []InStandardAir `json:"past_in_standard_air,omitempty"`  // the passes of the record on the same strip, other day
	Track    *Track          `json:"track_record,omitempty"`
}

// Speeds is a spread of speeds, m/s.
type Speeds struct {
	Mean float64 `json:"mean_mps"` // m/s
	SD   float64 `json:"sd_mps"`   // m/s
	P05  float64 `json:"p05_mps"`  // m/s
	P50  float64 `json:"p50_mps"`  // m/s
	P95  float64 `json:"p95_mps"`  // m/s
}

// Times is a spread of times, s.
type Times struct {
	Mean float64 `json:"mean_s"` // s
	SD   float64 `json:"sd_s"`   // s
	P05  float64 `json:"p05_s"`  // s
	P50  float64 `json:"p50_s"`  // s
	P95  float64 `json:"p95_s"`  // s
}

// Target is the speed aimed at and the chance of reaching it.
type Target struct {
	Speed  float64 `json:"speed_mps"` // m/s
	Chance float64 `json:"chance"`    // 0–1
}

// Distances are quantiles, m.
type Distances struct {
	P50 float64 `json:"p50"` // m
	P95 float64 `json:"p95"` // m
}

// SD is the standard deviation, m, of a normal law with these quantiles.
func (d Distances) SD() float64 { return (d.P95 - d.P50) / 1.645 }

func round(x, step float64) float64 { return math.Round(x/step) * step }

func tidy(x float64, digits int) float64 {
	f := math.Pow(10, float64(digits))
	return math.Round(x*f) / f
}

// Answer puts the result into the fixed form.
func (r *Result) Answer() *Answer {
	s := func(x float64) float64 { return tidy(x, 3) }
	a := &Answer{
		Trap: Speeds{s(r.Trap.Mean), s(r.Trap.SD), s(r.Trap.P05), s(r.Trap.P50), s(r.Trap.P95)},
		Time: Times{s(r.Time.Mean), s(r.Time.SD), s(r.Time.P05), s(r.Time.P50), s(r.Time.P95)},
		Top:  s(r.Top.P50), TopP95: s(r.Top.P95),
		Stopping: Distances{round(r.Stopping.P50, 1), round(r.Stopping.P95, 1)},
		Binding:  r.Binding, Ledger: r.Ledger, Notes: r.Notes, Next: r.Next.ID, ShutDown: r.Next.ShutDown, Decel: tidy(r.Decel, 2),
		Standard: s(r.Standard), Past: r.Past, Track: r.Track,
	}
	if g := r.Gain; g != nil {
		a.Gain = &Speeds{s(g.Mean), s(g.SD), s(g.P05), s(g.P50), s(g.P95)}
	}
	if r.Aim > 0 {
		a.Target = &Target{s(r.Aim), tidy(r.Chance, 4)}
	}
	if a.Binding == nil {
		a.Binding = []string{}
	}
	if a.Notes == nil {
		a.Notes = []string{}
	}
	if a.Ledger == nil {
		a.Ledger = []ledger.Line{}
	}
	for i := range a.Past {
		q := &a.Past[i]
		q.Trap, q.Speed, q.SD = s(q.Trap), s(q.Speed), s(q.SD)
		for _, c := range []*Corrected{q.J607, q.J1349} {
			if c != nil {
				c.Factor, c.Speed = tidy(c.Factor, 4), s(c.Speed)
			}
		}
	}
	for i := range a.Ledger {
		l := &a.Ledger[i]
		l.Speed, l.SD, l.Alone = s(l.Speed), s(l.SD), s(l.Alone)
	}
	return a
}

// WriteJSON prints the answer.
func (a *Answer) WriteJSON(w io.Writer) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(a)
}
