package app

import (
	"context"
	"encoding/json"
	"strings"

	"traplight/internal/physics/turbomap"
	"traplight/internal/report"
	"traplight/internal/sizing"
)

// SizeSaid is a sizing in the words of one world of units, as it can be kept.
type SizeSaid struct {
	Answer   string           `json:"answer"` // one sentence
	Chapters []sizing.Chapter `json:"chapters"`
	Result   json.RawMessage  `json:"result"` // the same, all SI, as `traplight size --json` prints it
}

// SizeInWords works out what the car needs and puts it into words; units are the reader's,
// "auto" the sheet's own.
func SizeInWords(ctx context.Context, q SizeRequest, units string) (*SizeSaid, error) {
	r, err := Size(ctx, q)
	if err != nil {
		return nil, err
	}
	w := report.World(units, r.Units)
	out := &SizeSaid{Answer: r.Answer(w), Chapters: r.Chapters(w)}
	out.Result, err = json.Marshal(r.Result)
	return out, err
}

// CheckTurbo says what is wrong with a compressor map or a swallowing line; "" is none.
func CheckTurbo(compressor, turbine string) error {
	if compressor != "" {
		if _, err := turbomap.ReadCompressor("map", strings.NewReader(compressor)); err != nil {
			return err
		}
	}
	if turbine != "" {
		if _, err := turbomap.ReadTurbine("turbine", strings.NewReader(turbine)); err != nil {
			return err
		}
	}
	return nil
}
