package web

import (
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
	query        []string // names of parameters
	takes        string   // kind of the body; "" none
	gives        any      // an example of the answer's type
	do           handler
}

func (s *Server) endpoints() []endpoint {
	return []endpoint{
		{"GET", "/api/v1/cars", "the cars of the shop", nil, "", []store.Car{}, s.apiCars},
		{"GET", "/api/v1/passes", "passes in the order in which they were run", []string{"car", "event", "date"}, "", []store.Pass{}, s.apiPasses},
		{"GET", "/api/v1/passes/{name}", "one line of the catalogue; the name as `traplight` takes it, such as last", nil, "", store.Pass{}, s.apiPass},
		{"GET", "/api/v1/passes/{name}/report", "the report of the log in which the pass lies, all SI, as `traplight report --json` prints it", nil, "", report.Report{}, s.apiReport},
		{"GET", "/api/v1/passes/{name}/traces", "the log's samples, thinned for a screen, in the reader's units; from and to in s from launch", []string{"from", "to", "points", "units"}, "", Traces{}, s.traces},
		{"GET", "/api/v1/passes/{name}/inspections", "what was inspected after the pass, and found", nil, "", []store.Inspection{}, s.apiInspections},
		{"GET", "/api/v1/compare", "passes against the first of them; pass may be repeated", []string{"pass"}, "", compare.Answer{}, s.apiCompare},
		{"GET", "/api/v1/forecasts", "forecasts as they were written down", []string{"planned"}, "", []Foretold{}, s.apiForecasts},
		{"POST", "/api/v1/passes/{name}/inspection", "write down what was inspected, and found; by whom", nil, "application/x-www-form-urlencoded", []store.Inspection{}, s.inspect},
		{"GET", "/api/v1/entries", "the notes' entries: strips, events, passes, planned passes", []string{"kind"}, "", []store.Entry{}, s.apiEntries},
		{"POST", "/api/v1/entries", "keep a strip or an event; what it concerns is worked out again", nil, "application/x-www-form-urlencoded", Started{}, s.saveStrip},
		{"GET", "/api/v1/cars/{car}/trends", "the figures of each pass that are followed over the seasons, all SI", nil, "", []PassFigures{}, s.apiTrends},
		{"GET", "/api/v1/record", "forecasts and what came, and how good they have been, all SI", []string{"car"}, "", TrackRecord{}, s.apiRecord},
		{"GET", "/api/v1/cars/{car}/round", "the turn-round list after the car's last pass", nil, "", []Tick{}, s.apiRound},
		{"POST", "/api/v1/cars/{car}/round", "keep the ticks: pass, and done for each thing that is", nil, "application/x-www-form-urlencoded", Left{}, s.saveRound},
		{"POST", "/api/v1/cars/{car}/next", "keep these settings as a planned pass and write its forecast down (do=card), or look for the best (do=plan)", nil, "application/x-www-form-urlencoded", Started{}, s.saveNext},
		{"GET", "/api/v1/cars/{car}/card/{id}", "the pass card of a planned pass that was written down, in the reader's words and units; 409 says why there is none", []string{"units"}, "", card.Card{}, s.apiCard},
		{"GET", "/api/v1/cars/{car}/weather", "the air now, as it was stated after the car's last pass, or else as that pass met it, all SI", nil, "", Weather{}, s.apiWeather},
		{"POST", "/api/v1/cars/{car}/weather", "state the air: air, pressure, pressure_is, humidity, wind, from, gust, in the reader's units; it serves until the car has run again", nil, "application/x-www-form-urlencoded", Weather{}, s.saveWeather},
		{"POST", "/api/v1/cars/{car}/coming", "what a pass with these settings will bring, in full; nothing is written down. 202 while the car is being fitted", nil, "application/x-www-form-urlencoded", Live{}, s.coming},
		{"POST", "/api/v1/cars/{car}/guess", "the same at once, from a surface fitted to the full forecast. 202 while it is being made", nil, "application/x-www-form-urlencoded", Live{}, s.guess},
		{"GET", "/api/v1/cars/{car}/parts", "what the car's parts have endured, all SI, as `traplight parts --json` prints it. 202 while it is being counted", nil, "", life.Result{}, s.apiParts},
		{"POST", "/api/v1/logs", "take logs, sheets and notes in", nil, "multipart/form-data", Started{}, s.takeIn},
		{"GET", "/api/v1/jobs", "work of late, in the order in which it was begun", nil, "", []Job{}, s.apiJobs},
		{"GET", "/api/v1/jobs/{id}", "how far work has come", nil, "", Job{}, s.apiWork},
		{"POST", "/api/v1/check", "check the text of a car sheet, or with kind=parts of a parts file; nothing is kept", []string{"kind"}, "text/plain", Checked{}, s.apiCheck},
	}
}
