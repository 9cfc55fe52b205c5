package report

import (
	"encoding/json"
	"io"
)

// WriteJSON prints a value as indented JSON with a line end. Equal values give
// equal bytes.
func WriteJSON(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
