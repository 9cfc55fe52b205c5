package demo

import (
	"math"
	"strconv"
	"strings"
)

// stretch is a stretch of log: rows from..to on the run's clock, with the
// readings of every channel.
type stretch struct {
	from, to float64
	reads    []reading
}

// logClock turns run time into the log's own clock.
type logClock struct {
	base     float64 // own clock at run time 0
	stepAt   float64 // run time of a step; NaN none
	stepSize float64
}

func (c logClock) own(t float64) float64 {
	if !math.IsNaN(c.stepAt) && t >= c.stepAt {
		return c.base + t + c.stepSize
	}
	return c.base + t
}

// writer prints stretches as one file.
type writer struct {
	d        Dialect
	car      Car
	channels []channel
	units    []printUnit
	quirks   []Quirk
	clock    logClock
	release  float64
	date     string
	baro     float64
	buf      []byte
	rows     int
	strip    string
	id       string
}

func (w *writer) head() {
	b := &strings.Builder{}
	day, at, _ := strings.Cut(w.date, " ")
	eol := w.d.EOL
	switch w.d.Metadata {
	case "hash":
		b.WriteString("# vehicle: " + w.car.Name + eol + "# logged: " + w.date + eol + "# venue: " + w.strip + eol)
	case "bang":
		b.WriteString("! car = " + w.car.Name + eol + "! run = " + w.id + eol + "! date = " + day + " " + at + eol)
	case "pairs":
		b.WriteString("\"Car\",\"" + w.car.Name + "\"" + eol + "\"Day\",\"" + day + "\"" + eol + "\"Start\",\"" + at + "\"" + eol +
			"\"Place\",\"" + w.strip + "\"" + eol + eol)
	}
	b.WriteString(w.header())
	w.raw(b.String())
}

func (w *writer) header() string {
	d := w.d
	tname := map[string][4]string{"english": {"Time", "Time", "Time of day", "Timestamp"}, "snake": {"time", "time", "clock", "datetime"},
		"short": {"t", "t", "t", "t"}, "german": {"Zeit", "Zeit", "Uhrzeit", "Zeitstempel"}, "french": {"Temps", "Temps", "Heure", "Horodatage"},
		"spanish": {"Tiempo", "Tiempo", "Hora", "Fecha"}, "italian": {"Tempo", "Tempo", "Ora", "Data"}, "dutch": {"Tijd", "Tijd", "Klok", "Datum"}}[d.Names]
	k := map[string]int{"s": 0, "ms": 1, "wall": 2, "iso": 3}[d.Clock]
	tu := [4]string{"s", "ms", "", ""}[k]
	cells, unit := []string{tname[k]}, []string{tu}
	for i, c := range w.channels {
		cells = append(cells, c.column)
		unit = append(unit, w.units[i].text)
	}
	for i := range cells {
		u := unit[i]
		switch d.Header {
		case "brackets":
			if u != "" {
				cells[i] += " [" + u + "]"
			}
		case "paren":
			if u != "" {
				cells[i] += " (" + u + ")"
			}
		case "suffix":
			s := u
			if i > 0 {
				s = w.units[i-1].suffix
			}
			if s != "" {
				cells[i] += "_" + s
			}
		}
		if d.Metadata == "pairs" {
			cells[i] = "\"" + cells[i] + "\""
		}
	}
	out := strings.Join(cells, d.Separator) + d.EOL
	if d.Header == "row" {
		for i := range unit {
			if unit[i] == "" && i > 0 {
				unit[i] = "-"
			}
		}
		out += strings.Join(unit, d.Separator) + d.EOL
	}
	return out
}

func (w *writer) raw(s string) {
	if w.d.Encoding == "latin-1" {
		for _, r := range s {
			if r > 255 {
				r = '?'
			}
			w.buf = append(w.buf, byte(r))
		}
		return
	}
	w.buf = append(w.buf, s...)
}

// body prints the rows of one stretch.
func (w *writer) body(st *stretch) {
	d := w.d
	n := len(w.channels)
	next := make([]int, n)
	every := make([]int, n)
	turn := make([]int, n)
	last := make([]string, n)
	for i, c := range w.channels {
		e := int(math.Round(d.Rate / c.rate))
		every[i] = max(e, 1)
		turn[i] = w.turn(i, every[i])
	}
	rows := int((st.to-st.from)*d.Rate + 0.5)
	r := stream(uint64(len(w.buf))+uint64(rows), "rows")
	share := 0.0
	var missing []Quirk
	for _, q := range w.quirks {
		switch q.Kind {
		case "duplicated_stamps":
			share = q.Share
		case "rows_missing":
			missing = append(missing, q)
		}
	}
	stamp := ""
	for k := 0; k < rows; k++ {
		t := st.from + float64(k)/d.Rate
		gone := false
		for _, q := range missing {
			gone = gone || (t >= w.release+q.From && t < w.release+q.To)
		}
		line := make([]byte, 0, 16*n)
		if !(share > 0 && k > 0 && r.Float64() < share) {
			stamp = w.stamp(t)
		}
		line = append(line, stamp...)
		for i := range w.channels {
			line = append(line, d.Separator...)
			rd := &st.reads[i]
			fresh := false
			if k%every[i] == turn[i] {
				for next[i] < len(rd.t) && rd.t[next[i]] <= t+0.25/w.channels[i].rate {
					next[i]++
				}
				j := next[i] - 1
				if j >= 0 && t-rd.t[j] < 1.2/w.channels[i].rate {
					last[i] = w.cell(i, rd.v[j])
					fresh = true
				}
			}
			if fresh || d.Fill == "hold" {
				line = append(line, last[i]...)
			}
		}
		if gone {
			continue
		}
		w.rows++
		w.raw(string(line))
		w.buf = append(w.buf, d.EOL...)
	}
}

// turn is the row, of every so many, in which a channel has a new reading.
func (w *writer) turn(i, every int) int {
	if w.d.Stagger {
		return i * 7 % every
	}
	return 1 % every
}

func (w *writer) cell(i int, v float64) string {
	c, u := &w.channels[i], &w.units[i]
	v = quantise(v, c.quantum)
	if u.gauge {
		v -= w.baro
	}
	v = (v - u.offset) * u.scale
	s := strconv.FormatFloat(v, 'f', u.decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		s = s[1:]
	}
	if w.d.Decimal == "," {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

func (w *writer) stamp(t float64) string {
	own := w.clock.own(t)
	switch w.d.Clock {
	case "ms":
		return strconv.Itoa(int(math.Round(own * 1000)))
	case "wall", "iso":
		ms := int(math.Round(own * 1000))
		day, _, _ := strings.Cut(w.date, " ")
		hms := pad(ms/3600000%24, 2) + ":" + pad(ms/60000%60, 2) + ":" + pad(ms/1000%60, 2) + "." + pad(ms%1000, 3)
		if w.d.Clock == "wall" {
			return hms
		}
		return day + "T" + hms
	}
	s := strconv.FormatFloat(own, 'f', 3, 64)
	if w.d.Decimal == "," {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}

func pad(n, width int) string {
	s := strconv.Itoa(n)
	for len(s) < width {
		s = "0" + s
	}
	return s
}
