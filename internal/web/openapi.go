package web

import (
	"encoding/json"
	"net/http"
	"reflect"
	"regexp"
	"strings"
	"time"

	"github.com/google/jsonschema-go/jsonschema"
)

var pathParameter = regexp.MustCompile(`\{([a-z]+)\}`)

// openAPI describes the interface for scripts; the answers are described from the very
// types that are sent. OpenAPI Specification 3.1.0.
func (s *Server) openAPI(w http.ResponseWriter, r *http.Request) error {
	d, err := s.description()
	if err != nil {
		return err
	}
	return writeJSON(w, r, http.StatusOK, d)
}

func (s *Server) description() (map[string]any, error) {
	paths := map[string]map[string]any{}
	trouble, err := schemaOf(Trouble{})
	if err != nil {
		return nil, err
	}
	asJSON := func(schema any) map[string]any {
		return map[string]any{"application/json": map[string]any{"schema": schema}}
	}
	for _, e := range s.endpoints() {
		schema, err := schemaOf(e.gives)
		if err != nil {
			return nil, err
		}
		var parameters []any
		for _, m := range pathParameter.FindAllStringSubmatch(e.path, -1) {
			parameters = append(parameters, map[string]any{"name": m[1], "in": "path", "required": true, "schema": map[string]any{"type": "string"}})
		}
		for _, q := range e.query {
			p := map[string]any{"name": q, "in": "query", "schema": map[string]any{"type": "string"}}
			if q == "pass" {
				p["schema"], p["explode"] = map[string]any{"type": "array", "items": map[string]any{"type": "string"}}, true
			}
			parameters = append(parameters, p)
		}
		ok := "200"
		if _, started := e.gives.(Started); started {
			ok = "202"
		}
		content := asJSON(schema)
		if media, other := e.gives.(string); other {
			content = map[string]any{media: map[string]any{"schema": map[string]any{"type": "string", "format": "binary"}}}
		}
		op := map[string]any{
			"summary":   e.says,
			"responses": map[string]any{ok: map[string]any{"description": e.says, "content": content}, "default": map[string]any{"description": "what went wrong, in one sentence", "content": asJSON(trouble)}},
		}
		if parameters != nil {
			op["parameters"] = parameters
		}
		if e.form != nil {
			op["requestBody"] = map[string]any{"content": map[string]any{"application/x-www-form-urlencoded": map[string]any{"schema": formSchema(e.form)}}}
		}
		if e.takes != "" {
			body := map[string]any{"type": "string"}
			if strings.HasPrefix(e.takes, "multipart") {
				body = map[string]any{"type": "object", "properties": map[string]any{
					"file": map[string]any{"type": "array", "items": map[string]any{"type": "string", "format": "binary"}},
					"car":  map[string]any{"type": "string"},
				}}
			}
			op["requestBody"] = map[string]any{"required": true, "content": map[string]any{e.takes: map[string]any{"schema": body}}}
		}
		if paths[e.path] == nil {
			paths[e.path] = map[string]any{}
		}
		paths[e.path][strings.ToLower(e.method)] = op
	}
	return map[string]any{
		"openapi": "3.1.0",
		"info":    map[string]any{"title": "traplight", "version": "1", "description": "What the page in the pits shows, for scripts. Only this machine is served unless `traplight serve --listen` says otherwise."},
		"paths":   paths,
	}, nil
}

func formSchema(fields []string) map[string]any {
	text := map[string]any{"type": "string"}
	all := map[string]any{}
	for _, f := range fields {
		if name, many := strings.CutSuffix(f, "[]"); many {
			all[name] = map[string]any{"type": "array", "items": text}
		} else {
			all[f] = text
		}
	}
	return map[string]any{"type": "object", "properties": all}
}

func schemaOf(v any) (*jsonschema.Schema, error) {
	return jsonschema.ForType(reflect.TypeOf(v), &jsonschema.ForOptions{TypeSchemas: map[reflect.Type]*jsonschema.Schema{
		reflect.TypeFor[time.Time]():       {Type: "string", Format: "date-time"},
		reflect.TypeFor[json.RawMessage](): {}, // JSON of any form
	}})
}
