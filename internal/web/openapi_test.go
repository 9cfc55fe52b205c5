package web_test

import (
	"bytes"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"

	"traplight/internal/web"
)

// operation is one of the description.
type operation struct {
	RequestBody *struct {
		Content map[string]struct {
			Schema struct {
				Properties map[string]any `json:"properties"`
			} `json:"schema"`
		} `json:"content"`
	} `json:"requestBody"`
	Responses map[string]struct {
		Content map[string]struct {
			Schema *jsonschema.Schema `json:"schema"`
		} `json:"content"`
	} `json:"responses"`
}

// TestOpenAPI: every route for scripts is described, answers with the code, the kind and
// the form that its description says, and takes only fields that are described.
func TestOpenAPI(t *testing.T) {
	if testing.Short() {
		t.Skip("a fit takes seconds")
	}
	t.Parallel()
	s := serve(t, storeOf(t, 2), lightly)
	var d struct {
		OpenAPI string                          `json:"openapi"`
		Paths   map[string]map[string]operation `json:"paths"`
	}
	if err := json.Unmarshal(ask(s, "GET", "/api/v1/openapi.json", nil).Body.Bytes(), &d); err != nil {
		t.Fatal(err)
	}
	if d.OpenAPI != "3.1.0" {
		t.Errorf("version %s", d.OpenAPI)
	}
	described := map[string]bool{}
	for path, all := range d.Paths {
		for method := range all {
			described[strings.ToUpper(method)+" "+path] = true
		}
	}

	dir, logs := demoShop(t)
	sheet, err := os.ReadFile(filepath.Join(dir, "car_marl.toml"))
	if err != nil {
		t.Fatal(err)
	}
	const name = "marl-2033-06-11-2"
	pass, err := s.shop.FindOne(t.Context(), name)
	if err != nil {
		t.Fatal(err)
	}
	var entry struct {
		Body string `json:"body"`
	}
	if err := json.Unmarshal(ask(s, "GET", "/api/v1/passes/"+name+"/notes", nil).Body.Bytes(), &entry); err != nil || entry.Body == "" {
		t.Fatal("the notes of a pass", err)
	}
	ids := map[string]string{"name": name, "car": "Marl", "sum": pass.SHA256}
	// Each route once, with what it takes; those that change most come last.
	for _, c := range []struct {
		route string
		query string
		form  url.Values
		file  string
		text  string
	}{
		{route: "GET /api/v1/openapi.json"},
		{route: "GET /api/v1/passes", query: "car=Marl"},
		{route: "GET /api/v1/passes/{name}"},
		{route: "GET /api/v1/passes/{name}/report"},
		{route: "GET /api/v1/passes/{name}/traces", query: "from=1&to=2&points=100&units=si"},
		{route: "GET /api/v1/passes/{name}/notes"},
		{route: "GET /api/v1/passes/{name}/inspections"},
		{route: "POST /api/v1/passes/{name}/inspection", form: url.Values{"found": {"plugs clean"}, "by": {"the crew"}}},
		{route: "GET /api/v1/compare", query: "pass=marl-2033-06-11-1&pass=" + name},
		{route: "GET /api/v1/cars"},
		{route: "GET /api/v1/cars/{car}/sheet"},
		{route: "GET /api/v1/cars/{car}/trends"},
		{route: "POST /api/v1/cars/{car}/parts", form: url.Values{"text": {"[[part]]\nserial = \"C-1\"\nname = \"clutch\"\ninstalled = 2033-01-01\n"}}},
		{route: "GET /api/v1/cars/{car}/parts"},
		{route: "POST /api/v1/cars/{car}/size", form: url.Values{"map": {""}, "turbine": {""}}},
		{route: "GET /api/v1/cars/{car}/size", query: "target=190mph&free=1"},
		{route: "GET /api/v1/cars/{car}/round"},
		{route: "POST /api/v1/cars/{car}/round", form: url.Values{"pass": {name}, "done": {"wheel nuts", "battery"}}},
		{route: "POST /api/v1/cars/{car}/round/list", form: url.Values{"list": {"wheel nuts\nplugs read"}}},
		{route: "GET /api/v1/cars/{car}/weather"},
		{route: "POST /api/v1/cars/{car}/weather", form: url.Values{"air": {"70"}, "pressure": {"1001"}, "pressure_is": {"hPa, barometer at the strip"}, "humidity": {"40"}}},
		{route: "POST /api/v1/cars/{car}/coming", form: url.Values{"air": {"70"}, "barometer": {"1001"}}},
		{route: "POST /api/v1/cars/{car}/guess", form: url.Values{"air": {"70"}, "barometer": {"1001"}}},
		{route: "POST /api/v1/cars/{car}/next", form: url.Values{"do": {"card"}, "air": {"70"}, "barometer": {"1001"}}},
		{route: "GET /api/v1/cars/{car}/card/{id}", query: "units=metric"},
		{route: "GET /api/v1/cars/{car}/card/{id}/pdf"},
		{route: "GET /api/v1/forecasts"},
		{route: "GET /api/v1/record", query: "car=Marl"},
		{route: "GET /api/v1/entries", query: "kind=strip"},
		{route: "GET /api/v1/jobs"},
		{route: "GET /api/v1/jobs/{id}"},
		{route: "POST /api/v1/check", text: string(sheet)},
		{route: "POST /api/v1/entries", form: url.Values{"kind": {"strip"}, "text": {"id = \"field\"\nlength_m = 804.672\n"}}},
		{route: "POST /api/v1/passes/{name}/notes", form: url.Values{"text": {entry.Body}}},
		{route: "POST /api/v1/logs/{sum}/channels", form: url.Values{"name": {"Tyre pressure driven"}, "is": {"none"}, "unit": {""}}},
		{route: "POST /api/v1/cars", form: url.Values{"car": {"Marl"}, "file": {"car_marl.toml"}, "text": {string(sheet) + "\n# again\n"}}},
		{route: "POST /api/v1/logs", file: logs[2]},
		{route: "POST /api/v1/backup"},
		{route: "POST /api/v1/passes/{name}/remove"},
		{route: "POST /api/v1/restore", file: "the backup"},
		{route: "POST /api/v1/demo"},
	} {
		method, path, _ := strings.Cut(c.route, " ")
		op, ok := d.Paths[path][strings.ToLower(method)]
		if !ok {
			t.Errorf("%s is not described", c.route)
			continue
		}
		delete(described, c.route)
		at := regexp.MustCompile(`\{(\w+)\}`).ReplaceAllStringFunc(path, func(p string) string { return url.PathEscape(ids[strings.Trim(p, "{}")]) })
		if c.query != "" {
			at += "?" + c.query
		}
		var body io.Reader
		kind := ""
		switch {
		case c.form != nil:
			body, kind = strings.NewReader(c.form.Encode()), "application/x-www-form-urlencoded"
		case c.file != "":
			var b bytes.Buffer
			m := multipart.NewWriter(&b)
			data := ids["backup"]
			if c.file != "the backup" {
				text, err := os.ReadFile(c.file)
				if err != nil {
					t.Fatal(err)
				}
				data = string(text)
			}
			f, _ := m.CreateFormFile("file", filepath.Base(c.file))
			io.WriteString(f, data)
			m.Close()
			body, kind = &b, m.FormDataContentType()
		case c.text != "":
			body, kind = strings.NewReader(c.text), "text/plain"
		}
		if media, _, _ := strings.Cut(kind, ";"); media != "" {
			if op.RequestBody == nil || op.RequestBody.Content[media].Schema.Properties == nil && media != "text/plain" {
				t.Errorf("%s: a body of %s is not described", c.route, media)
			} else {
				for field := range c.form {
					if op.RequestBody.Content[media].Schema.Properties[field] == nil {
						t.Errorf("%s: field %s is not described", c.route, field)
					}
				}
			}
		}
		w := ask(s, method, at, body, func(r *http.Request) { r.Header.Set("Content-Type", kind) })
		if w.Code == http.StatusAccepted && op.Responses["202"].Content == nil { // work goes on: ask again
			var l web.Live
			if err := json.Unmarshal(w.Body.Bytes(), &l); err != nil || l.Job == "" {
				t.Fatalf("%s: %s", c.route, w.Body)
			}
			if j := waitFor(t, s, l.Job); j.Error != "" {
				t.Errorf("%s: %s", c.route, j.Error)
			}
			if c.form != nil {
				body = strings.NewReader(c.form.Encode())
			}
			w = ask(s, method, at, body, func(r *http.Request) { r.Header.Set("Content-Type", kind) })
		}
		answers(t, c.route, op, w.Code, w.Header().Get("Content-Type"), w.Body.Bytes())
		var started web.Started
		if json.Unmarshal(w.Body.Bytes(), &started) == nil && started.Job != "" && c.route != "POST /api/v1/demo" {
			ids["id"] = started.Job
			j := waitFor(t, s, started.Job)
			if j.Error != "" {
				t.Errorf("%s: %s", c.route, j.Error)
			}
			if _, card, ok := strings.Cut(j.Goto, "/card/"); ok {
				ids["card"], _ = url.PathUnescape(card)
			}
		}
		switch c.route {
		case "POST /api/v1/backup":
			ids["backup"] = w.Body.String()
		case "POST /api/v1/cars/{car}/next":
			ids["job"], ids["id"] = ids["id"], ids["card"]
		case "GET /api/v1/cars/{car}/card/{id}/pdf":
			ids["id"] = ids["job"]
		}
	}
	for route := range described {
		t.Errorf("%s is described and was not tried", route)
	}
}

// answers holds an answer against its description.
func answers(t *testing.T, route string, op operation, code int, kind string, body []byte) {
	t.Helper()
	want := op.Responses["200"]
	if code == http.StatusAccepted {
		want = op.Responses["202"]
	}
	if code != http.StatusOK && code != http.StatusAccepted || want.Content == nil {
		t.Errorf("%s: %d %.300s", route, code, body)
		return
	}
	content, ok := want.Content[kind]
	if !ok {
		t.Errorf("%s: answers %s, which is not described", route, kind)
		return
	}
	if kind != "application/json" {
		return
	}
	var v any
	if err := json.Unmarshal(body, &v); err != nil {
		t.Errorf("%s: %v", route, err)
		return
	}
	schema, err := content.Schema.Resolve(nil)
	if err == nil {
		err = schema.Validate(v)
	}
	if err != nil {
		t.Errorf("%s does not answer as described: %.400v", route, err)
	}
}
