package web

import (
	"traplight/internal/app"
	"traplight/internal/card"
	"traplight/internal/compare"
	"traplight/internal/life"
	"traplight/internal/report"
	"traplight/internal/store"
)

// endpoint is one address of the interface for scripts, and its description.
type endpoint struct {
	method, path string
	says         string
	do           handler
	gives        any      // an example of the answer's type; a media type where it is no JSON
	query        []string // names of parameters
	form         []string // names of the fields of a form; one that may be repeated ends in []
	takes        string   // kind of a body that is no form of fields; "" none
}

// endpoints are all addresses for scripts. What a page does with a form, a script does with
// the same one.
func (s *Server) endpoints() []endpoint {
	settings := []string{"boost[]", "shift[]", "nitrous", "launch_rpm", "cold", "air", "barometer", "humidity", "headwind", "crosswind", "gust", "bold"}
	return []endpoint{
		{method: "GET", path: "/api/v1/openapi.json", says: "this description", do: s.openAPI, gives: map[string]any{}},

		{method: "GET", path: "/api/v1/passes", says: "passes in the order in which they were run", do: s.apiPasses, gives: []store.Pass{}, query: []string{"car", "event", "date"}},
		{method: "GET", path: "/api/v1/passes/{name}", says: "one line of the catalogue; the name as `traplight` takes it, such as last", do: s.apiPass, gives: store.Pass{}},
		{method: "GET", path: "/api/v1/passes/{name}/report", says: "the report of the log in which the pass lies, all SI, as `traplight report --json` prints it", do: s.apiReport, gives: report.Report{}},
		{method: "GET", path: "/api/v1/passes/{name}/traces", says: "the log's samples, thinned for a screen, in the reader's units; from and to in s from launch", do: s.traces, gives: Traces{}, query: []string{"from", "to", "points", "units"}},
		{method: "GET", path: "/api/v1/passes/{name}/notes", says: "what was written down for the pass, as an entry of a notes file", do: s.apiPassNotes, gives: store.Entry{}},
		{method: "POST", path: "/api/v1/passes/{name}/notes", says: "keep the entry, or figures of the timing slip in it (slip_trap in the viewer's unit), and work the pass out again", do: s.savePassNotes, gives: Started{}, form: []string{"text", "slip_60ft_s", "slip_330ft_s", "slip_eighth_s", "slip_1000ft_s", "slip_quarter_s", "slip_half_s", "slip_trap"}},
		{method: "GET", path: "/api/v1/passes/{name}/inspections", says: "what was inspected after the pass, and found", do: s.apiInspections, gives: []store.Inspection{}},
		{method: "POST", path: "/api/v1/passes/{name}/inspection", says: "write down what was inspected, and found; by whom", do: s.inspect, gives: []store.Inspection{}, form: []string{"found", "by"}},
		{method: "POST", path: "/api/v1/passes/{name}/remove", says: "put the pass into the trash", do: s.remove, gives: store.Pass{}},
		{method: "GET", path: "/api/v1/compare", says: "passes against the first of them; pass may be repeated", do: s.apiCompare, gives: compare.Answer{}, query: []string{"pass"}},

		{method: "GET", path: "/api/v1/cars", says: "the cars of the shop", do: s.apiCars, gives: []store.Car{}},
		{method: "POST", path: "/api/v1/cars", says: "keep a new revision of a car's sheet and work its logs out again; car is empty for a new one, past says that it was always so", do: s.saveCar, gives: Started{}, form: []string{"car", "file", "text", "past"}},
		{method: "GET", path: "/api/v1/cars/{car}/sheet", says: "the car's sheet as it stands", do: s.apiSheet, gives: SheetText{}},
		{method: "GET", path: "/api/v1/cars/{car}/trends", says: "the figures of each pass that are followed over the seasons, all SI", do: s.apiTrends, gives: []PassFigures{}},
		{method: "GET", path: "/api/v1/cars/{car}/parts", says: "what the car's parts have endured, all SI, as `traplight parts --json` prints it. 202 while it is being counted", do: s.apiParts, gives: life.Result{}},
		{method: "POST", path: "/api/v1/cars/{car}/parts", says: "keep the parts file and count. 202 while it is being counted", do: s.saveParts, gives: life.Result{}, form: []string{"text"}},
		{method: "GET", path: "/api/v1/cars/{car}/size", says: "what the car needs for a target speed, in the reader's words and units, with all figures in SI; without target the sheet's. 202 while it is being worked out", do: s.apiSize, gives: app.SizeSaid{}, query: []string{"target", "free", "units"}},
		{method: "POST", path: "/api/v1/cars/{car}/size", says: "keep a digitised compressor map and a turbine's swallowing line for the car, as CSV; empty for none", do: s.saveTurbo, gives: turboFiles{}, form: []string{"map", "turbine"}},
		{method: "GET", path: "/api/v1/cars/{car}/round", says: "the turn-round list after the car's last pass", do: s.apiRound, gives: []Tick{}},
		{method: "POST", path: "/api/v1/cars/{car}/round", says: "keep the ticks: pass, and done for each thing that is", do: s.saveRound, gives: Left{}, form: []string{"pass", "done[]"}},
		{method: "POST", path: "/api/v1/cars/{car}/round/list", says: "keep the car's own list, one line for each thing", do: s.saveRoundList, gives: []Tick{}, form: []string{"list"}},
		{method: "GET", path: "/api/v1/cars/{car}/weather", says: "the air now, as it was stated after the car's last pass, or else as that pass met it, all SI", do: s.apiWeather, gives: Weather{}},
		{method: "POST", path: "/api/v1/cars/{car}/weather", says: "state the air in the reader's units; it serves until the car has run again", do: s.saveWeather, gives: Weather{}, form: []string{"air", "pressure", "pressure_is", "humidity", "wind", "from", "gust"}},
		{method: "POST", path: "/api/v1/cars/{car}/coming", says: "what a pass with these settings, in the reader's units and rpm, will bring, in full; nothing is written down. 202 while the car is being fitted", do: s.coming, gives: Live{}, form: settings},
		{method: "POST", path: "/api/v1/cars/{car}/guess", says: "the same in about a tenth of a second, from fewer draws of the same luck brought to the full forecast; in full where there is no quick look yet. 202 while the car is being fitted", do: s.guess, gives: Live{}, form: settings},
		{method: "POST", path: "/api/v1/cars/{car}/next", says: "keep these settings as a planned pass and write its forecast down (do=card), look for the best (do=plan, risk in percent), or write the plan id down as it was found (do=accept)", do: s.saveNext, gives: Started{}, form: append([]string{"do", "risk", "id"}, settings...)},
		{method: "GET", path: "/api/v1/cars/{car}/card/{id}", says: "the pass card of a planned pass that was written down, in the reader's words and units; 409 says why there is none", do: s.apiCard, gives: card.Card{}, query: []string{"units"}},
		{method: "GET", path: "/api/v1/cars/{car}/card/{id}/pdf", says: "the same on one sheet of A4", do: s.cardPDF, gives: "application/pdf", query: []string{"units"}},

		{method: "POST", path: "/api/v1/logs", says: "take logs, sheets and notes in; car says whose they are", do: s.takeIn, gives: Started{}, takes: "multipart/form-data"},
		{method: "POST", path: "/api/v1/logs/{sum}/channels", says: "say what channels of a log are: a name, what it is (none for nothing) and its unit, each as often as there are channels; remembered for the car", do: s.settleChannels, gives: Started{}, form: []string{"name[]", "is[]", "unit[]"}},
		{method: "POST", path: "/api/v1/demo", says: "bring in the invented shop", do: s.demo, gives: Started{}},
		{method: "GET", path: "/api/v1/jobs", says: "work of late, in the order in which it was begun", do: s.apiJobs, gives: []Job{}},
		{method: "GET", path: "/api/v1/jobs/{id}", says: "how far work has come", do: s.apiWork, gives: Job{}},

		{method: "GET", path: "/api/v1/entries", says: "the notes' entries: strips, events, passes, planned passes", do: s.apiEntries, gives: []store.Entry{}, query: []string{"kind"}},
		{method: "POST", path: "/api/v1/entries", says: "keep a strip or an event; what it concerns is worked out again", do: s.saveStrip, gives: Started{}, form: []string{"kind", "id", "text"}},
		{method: "GET", path: "/api/v1/forecasts", says: "forecasts as they were written down", do: s.apiForecasts, gives: []Foretold{}, query: []string{"planned"}},
		{method: "GET", path: "/api/v1/record", says: "forecasts and what came, and how good they have been, all SI", do: s.apiRecord, gives: TrackRecord{}, query: []string{"car"}},
		{method: "POST", path: "/api/v1/check", says: "check the text of a car sheet, or with kind=parts of a parts file; nothing is kept", do: s.apiCheck, gives: Checked{}, query: []string{"kind"}, takes: "text/plain"},
		{method: "POST", path: "/api/v1/backup", says: "a whole copy of the store as one file", do: s.backup, gives: "application/zip"},
		{method: "POST", path: "/api/v1/restore", says: "put a backup, sent as file, in place of what is kept, which is put aside", do: s.restore, gives: Restored{}, takes: "multipart/form-data"},
	}
}
