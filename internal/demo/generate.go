package demo

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"traplight/internal/num/xrand"
)

// Recording is one log with all that belongs to it.
type Recording struct {
	Name     string // base name without ending
	CSV      []byte
	Truth    []byte // JSON; nil when it was not wanted
	NoteTOML []byte // [[pass]] entries, and [[planned]] ones
}

// one is a pass that has been run.
type one struct {
	p    *plan
	o    PassOptions
	s    *sim
	off  float64 // run time in the file of its sample 0
	seed uint64
}

// Generate runs the passes of opts and writes them as the car's logger would.
func Generate(c Car, opts PassOptions, seed uint64) Recording {
	if opts.ID == "" {
		opts.ID = fmt.Sprintf("%s-%d", c.ID, seed)
	}
	if opts.When == "" {
		opts.When = "2033-06-11 10:20"
	}
	if e := opts.Ethanol; e != nil {
		// A computer that knows the blend asks for fuel by it and gives more ignition.
		c.p.ignBase += 5 * (*e - max(c.p.fuel.ethanol, 0))
		c.p.fuel = blend(*e, c.p.fuel.name)
	}
	runs := c.runAll(opts, seed)
	luck := stream(seed, "clock")
	w := c.writer(opts, runs[0], seed, luck)
	w.head()
	for k := range runs {
		if k > 0 && w.d.Header == "row" {
			w.raw(w.header())
		}
		st := sense(c, w, &runs[k], opts)
		w.body(&st)
	}
	for _, q := range opts.Quirks {
		if q.Kind == "partial_last_line" {
			cut := 5 + int(20*luck.Float64())
			w.buf = w.buf[:len(w.buf)-min(cut, len(w.buf)/2)]
		}
	}
	rec := Recording{Name: opts.ID + "_" + c.ID, CSV: w.buf}
	var slips []js
	var passes []any
	for k, r := range runs {
		t := newTeller(r.s, c, w.clock, r.off)
		slips = append(slips, t.timingSlip(r.seed))
		if !opts.NoTruth {
			passes = append(passes, c.fullPass(t, r, k, w.channels))
		}
	}
	rec.NoteTOML = c.notes(rec.Name+".csv", opts, runs, slips)
	if !opts.NoTruth {
		rec.Truth = truthFile(c, w, opts, rec.Name, passes)
	}
	return rec
}

// runAll runs all passes of a file one after the other.
func (c Car) runAll(opts PassOptions, seed uint64) []one {
	var runs []one
	off := 0.0
	for i, o := range append([]PassOptions{opts}, opts.Then...) {
		sd := seed
		if i > 0 {
			sd = xrand.Sub(seed, fmt.Sprintf("then/%d", i))
		}
		if o.DaySeed == 0 {
			o.DaySeed = opts.DaySeed
		}
		if o.Weather == nil && i > 0 {
			w := runs[0].p.air
			w.Headwind += 0.4 * stream(sd, "then").NormFloat64()
			o.Weather = &w
		}
		p := c.plan(o, sd)
		s := p.simulate()
		runs = append(runs, one{p, o, s, off, sd})
		off += s.t + 240 + 90*stream(sd, "gap").Float64()
	}
	return runs
}

// writer is the car's logger, with channels and clock, before the first pass.
func (c Car) writer(opts PassOptions, first one, seed uint64, luck *rand.Rand) *writer {
	d := DialectNamed(c.spec.dialect)
	if opts.Dialect != nil {
		d = *opts.Dialect
	}
	set := c.spec.sensors
	if opts.Sensors != "" {
		set = opts.Sensors
	}
	own := opts.DaySeed
	if own == 0 {
		own = seed
	}
	release := first.s.drv.tRelease
	w := &writer{d: d, car: c, channels: c.rig(set, own, first.p.air), quirks: opts.Quirks, clock: clockOf(d, opts, release, luck),
		release: release, date: opts.When, baro: first.p.air.Pressure, strip: first.p.strip.Name, id: opts.ID}
	for i := range w.channels {
		ch := &w.channels[i]
		ch.column = columnName(ch.q, d.Names)
		every := math.Max(math.Round(d.Rate/ch.rate), 1)
		ch.rate = d.Rate / every
		ch.unit = d.Units[ch.dim]
		w.units = append(w.units, unitFor(ch.unit, c.p.fuel.density))
	}
	return w
}

// clockOf is the log's clock; release is when the clutch was let go in the first pass, s.
func clockOf(d Dialect, opts PassOptions, release float64, luck *rand.Rand) logClock {
	ck := logClock{stepAt: math.NaN()}
	switch d.Clock {
	case "wall", "iso":
		var h, m int
		_, at, _ := strings.Cut(opts.When, " ")
		fmt.Sscanf(at, "%d:%d", &h, &m)
		ck.base = float64(h*3600+m*60) + math.Floor(60*luck.Float64())
	case "s":
		if luck.Float64() < 0.4 {
			ck.base = math.Round(2500*luck.Float64()) / 100
		}
	}
	for _, q := range opts.Quirks {
		if q.Kind == "clock_step" {
			ck.stepAt, ck.stepSize = release+q.From, q.Seconds
		}
	}
	return ck
}

// sense reads all channels over one run.
func sense(c Car, w *writer, r *one, opts PassOptions) stretch {
	ss := r.s.out.samples
	for i := range ss {
		ss[i].t += r.off
	}
	st := stretch{from: ss[0].t, to: ss[len(ss)-1].t}
	release := r.s.drv.tRelease + r.off
	for i := range w.channels {
		ch := &w.channels[i]
		rr := stream(r.seed, "noise/"+ch.q)
		every := int(math.Max(math.Round(w.d.Rate/ch.rate), 1))
		ch.phase = float64(w.turn(i, every)) / w.d.Rate
		rd := c.sense(ch, ss, r.p.strip, rr, r.s.out.xStage)
		for _, q := range opts.Quirks {
			q.apply(ch, &rd, release, rr)
		}
		if f := r.p.fault; f != nil && f.Kind == SensorFault && f.Channel == ch.q {
			f.sensorFault(&rd, release, rr)
		}
		st.reads = append(st.reads, rd)
	}
	for i := range ss {
		ss[i].t -= r.off
	}
	return st
}

// fullPass is the truth of a pass with its fault, counterfactuals and sequels.
func (c Car) fullPass(t *teller, r one, k int, chs []channel) js {
	out := t.pass(k)
	if f := r.p.fault; f != nil {
		o := r.o
		o.Fault = nil
		tw := c.plan(o, r.seed)
		twin := newTeller(tw.simulate(), c, t.clock, r.off)
		out["faults"] = []any{t.faultTruth(twin, chs)}
	}
	if r.o.Ideal {
		out["counterfactuals"] = c.counterfactuals(t, r)
	}
	var seq []any
	for _, pl := range r.o.Planned {
		seq = append(seq, c.sequel(t, r, pl))
	}
	if seq != nil {
		out["sequels"] = seq
	}
	return out
}

func truthFile(c Car, w *writer, opts PassOptions, name string, passes []any) []byte {
	d := w.d
	var chs []any
	for i, ch := range w.channels {
		o := js{"column": ch.column, "quantity": ch.q, "unit": ch.unit, "rate_hz": num(ch.rate), "lag_s": num(ch.lag), "delay_s": num(ch.delay),
			"noise_si": num(ch.noise), "bias_si": num(ch.bias), "scale": num(ch.scale), "quantum_si": num(ch.quantum), "circumference_m": nil, "lambda_scale": nil}
		if ch.circum > 0 {
			o["circumference_m"] = num(ch.circum)
		}
		if w.channels[i].unit == "AFR" {
			o["lambda_scale"] = "gasoline 14.7"
		}
		chs = append(chs, o)
	}
	quirks := []any{}
	for _, q := range opts.Quirks {
		o := js{"kind": q.Kind}
		switch q.Kind {
		case "dropout", "reflection", "rows_missing":
			o["from_clutch_release"] = []num{num(q.From), num(q.To)}
			o["channel"] = q.Channel
		case "clock_step":
			o["from_clutch_release"], o["seconds"] = num(q.From), num(q.Seconds)
		case "duplicated_stamps", "spikes":
			o["share"] = num(q.Share)
			o["channel"] = q.Channel
		}
		quirks = append(quirks, o)
	}
	top := js{"format": 1, "set": "demo", "id": opts.ID, "file": name + ".csv", "car": c.ID,
		"units": "SI: m, s, kg, Pa (absolute unless named gauge), K, rad, W, N m; rpm where named rpm",
		"clock": js{"kind": d.Clock, "note": "all t_* values are in seconds of the log's own clock (ms divided by 1000; wall and iso clocks: seconds since midnight); with a clock step the step is included"},
		"dialect": js{"separator": d.Separator, "decimal": d.Decimal, "header": d.Header, "names": d.Names, "encoding": d.Encoding, "fill": d.Fill,
			"row_rate": num(d.Rate), "eol": fmt.Sprintf("%q", d.EOL), "metadata": d.Metadata, "repeated_header": d.Header == "row" && len(passes) > 1, "rows": w.rows},
		"channels": chs, "quirks": quirks, "passes": passes}
	b := &bytes.Buffer{}
	e := json.NewEncoder(b)
	e.SetIndent("", " ")
	if err := e.Encode(top); err != nil {
		panic("demo: truth does not encode: " + err.Error())
	}
	return b.Bytes()
}
