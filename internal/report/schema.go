package report

import "github.com/google/jsonschema-go/jsonschema"

// Schema is the JSON schema of Report, inferred from its types.
func Schema() (*jsonschema.Schema, error) {
	s, err := jsonschema.For[Report](nil)
	if err != nil {
		return nil, err
	}
	s.Schema = "https://json-schema.org/draft/2020-12/schema"
	s.Title = "traplight report"
	return s, nil
}
