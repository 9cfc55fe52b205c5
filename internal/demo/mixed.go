package demo

import (
	"fmt"

	"traplight/internal/num/xrand"
)

// Set is a folder of logs of several cars.
type Set struct {
	Sheets     map[string][]byte // TOML by car
	Notes      []byte            // TOML
	Recordings []Recording
}

// Mixed makes n logs: the shop's cars in turn, each on its own logger or on
// another's, at several strips, with the oddities of drivers and loggers spread
// over them. All cars are healthy.
func Mixed(n int, seed uint64) Set {
	s := Set{Sheets: map[string][]byte{}}
	cars := Cars()
	strips := append([]Strip{HomeStrip()}, OtherStrips()...)
	dialects := Dialects()
	for _, st := range strips {
		s.Notes = append(s.Notes, st.StripTOML()...)
	}
	for i := range n {
		c := cars[i%len(cars)]
		sd := xrand.Sub(seed, fmt.Sprintf("mixed/%d", i))
		r := stream(sd, "mix")
		st := strips[r.IntN(len(strips))]
		o := PassOptions{ID: fmt.Sprintf("%s%02d", c.ID[:2], i), When: fmt.Sprintf("2033-%02d-%02d %02d:%02d", 4+r.IntN(6), 1+r.IntN(28), 9+r.IntN(8), r.IntN(60)),
			Strip: &st, DaySeed: xrand.Sub(seed, "rig/"+c.ID), Ideal: true}
		if r.Float64() < 0.6 {
			d := dialects[r.IntN(len(dialects))]
			o.Dialect = &d
		}
		switch k := r.Float64(); {
		case k < 0.12:
			o.Sensors = "satellite"
		case k < 0.3:
			o.Sensors = "poor"
		case k < 0.5:
			o.Sensors = "medium"
		}
		switch r.IntN(8) {
		case 0:
			o.Driver.Burnout = true
		case 1, 2:
			o.Driver.Creep = true
		case 3:
			o.Driver.MissShift = 2
		case 4:
			o.Driver.Pedal = true
		case 5:
			o.Driver.LiftAt = 450 + 250*r.Float64()
		case 6:
			o.Driver.ReturnDrive = r.IntN(2) == 0
		}
		switch r.IntN(9) {
		case 0:
			o.Quirks = append(o.Quirks, Quirk{Kind: "dropout", Channel: "gps", From: 5, To: 8.5})
		case 1:
			o.Quirks = append(o.Quirks, Quirk{Kind: "reflection", Channel: "gps", From: 7, To: 8.6})
		case 2:
			o.Quirks = append(o.Quirks, Quirk{Kind: "clock_step", From: 8.3, Seconds: 1.4 * sign(r.Float64()-0.3)})
		case 3:
			o.Quirks = append(o.Quirks, Quirk{Kind: "duplicated_stamps", Share: 0.005})
		case 4:
			o.Quirks = append(o.Quirks, Quirk{Kind: "partial_last_line"})
		case 5:
			o.Quirks = append(o.Quirks, Quirk{Kind: "rows_missing", From: 10, To: 10.3})
		}
		if c.p.n2oFlow > 0 && r.Float64() < 0.5 {
			u := c.Usual()
			u.Nitrous = true
			o.Settings = &u
		}
		if r.Float64() < 0.12 {
			o.Then = []PassOptions{{Strip: &st, Ideal: true}}
		}
		rec := Generate(c, o, sd)
		s.Recordings = append(s.Recordings, rec)
		s.Notes = append(s.Notes, rec.NoteTOML...)
		if s.Sheets[c.ID] == nil {
			s.Sheets[c.ID] = c.SheetTOML()
		}
	}
	return s
}
