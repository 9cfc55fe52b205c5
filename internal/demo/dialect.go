package demo

// Dialect is how a logger writes.
type Dialect struct {
	Name      string
	Separator string  // "," ";" "\t" "|"
	Decimal   string  // "." ","
	Header    string  // "brackets", "paren", "row", "suffix"
	Names     string  // "english", "snake", "short", "german", "french", "spanish", "italian", "dutch"
	Encoding  string  // "utf-8", "utf-8-sig", "latin-1"
	Fill      string  // "blank", "hold"
	Rate      float64 // rows per second, 1/s
	EOL       string
	Metadata  string // "hash", "bang", "pairs", "none"
	Clock     string // "s", "ms", "wall", "iso"
	Units     map[string]string
	Stagger   bool // each channel has its own turn
}

var (
	metric = map[string]string{"rotation": "rpm", "share": "%", "pressure": "kPa abs", "gauge": "kPa", "baro": "kPa", "temp": "C",
		"lambda": "lambda", "angle": "deg", "volt": "V", "volt2": "V", "speed": "km/h", "accel": "m/s2", "geo": "deg_pos", "flow": "kg/h", "flag": "0/1", "gear": ""}
	imperial = map[string]string{"rotation": "rpm", "share": "%", "pressure": "psi gauge", "gauge": "psi", "baro": "inHg", "temp": "F",
		"lambda": "AFR", "angle": "deg", "volt": "V", "volt2": "V", "speed": "mph", "accel": "g", "geo": "deg_pos", "flow": "lb/h", "flag": "0/1", "gear": ""}
	bars = map[string]string{"rotation": "rpm", "share": "%", "pressure": "bar abs", "gauge": "bar", "baro": "hPa", "temp": "C",
		"lambda": "lambda", "angle": "deg", "volt": "V", "volt2": "V", "speed": "km/h", "accel": "g", "geo": "deg_pos", "flow": "L/min", "flag": "0/1", "gear": ""}
	barsGauge = with(bars, "pressure", "bar gauge", "lambda", "AFR", "speed", "km/h")
	mixed     = with(metric, "speed", "mph", "accel", "g", "pressure", "kPa abs", "gauge", "psi")
	siSpeed   = with(metric, "speed", "m/s", "pressure", "kPa gauge", "flow", "g/s", "temp", "C")
)

func with(m map[string]string, kv ...string) map[string]string {
	n := map[string]string{}
	for k, v := range m {
		n[k] = v
	}
	for i := 0; i < len(kv); i += 2 {
		n[kv[i]] = kv[i+1]
	}
	return n
}

// Dialects lists the ways in which the demo's loggers write.
func Dialects() []Dialect {
	return []Dialect{
		{"long", ",", ".", "brackets", "english", "utf-8", "blank", 100, "\n", "hash", "s", metric, false},
		{"snake", ",", ".", "suffix", "snake", "utf-8", "blank", 200, "\n", "none", "s", siSpeed, true},
		{"short", "\t", ".", "row", "short", "utf-8", "hold", 100, "\n", "none", "s", imperial, false},
		{"german", ";", ",", "row", "german", "latin-1", "hold", 100, "\r\n", "bang", "ms", bars, false},
		{"french", ";", ",", "brackets", "french", "utf-8", "blank", 100, "\r\n", "hash", "s", barsGauge, false},
		{"clock", ",", ".", "paren", "english", "utf-8-sig", "blank", 100, "\n", "pairs", "wall", mixed, false},
		{"iso", ",", ".", "suffix", "snake", "utf-8", "blank", 500, "\n", "hash", "iso", metric, true},
		{"pipe", "|", ".", "brackets", "english", "utf-8", "blank", 100, "\n", "hash", "s", with(imperial, "lambda", "lambda"), false},
		{"spanish", ";", ",", "paren", "spanish", "utf-8", "hold", 100, "\r\n", "hash", "s", with(bars, "speed", "km/h", "pressure", "bar gauge"), false},
		{"italian", ";", ",", "row", "italian", "utf-8", "blank", 100, "\r\n", "none", "s", with(metric, "accel", "g", "pressure", "mbar abs", "gauge", "bar"), false},
		{"dutch", "\t", ",", "brackets", "dutch", "utf-8", "hold", 50, "\n", "bang", "ms", with(metric, "pressure", "kPa gauge"), false},
	}
}

// DialectNamed returns the dialect of that name, the first one when there is none.
func DialectNamed(name string) Dialect {
	for _, d := range Dialects() {
		if d.Name == name {
			return d
		}
	}
	return Dialects()[0]
}
