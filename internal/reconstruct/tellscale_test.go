package reconstruct

import (
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// TestTellScale says why speeds are in doubt where wheels alone tell them, with what is still
// lacking, and nothing where they are known well or a receiver is there.
func TestTellScale(t *testing.T) {
	wheel, accel := []*dictionary.Channel{{Quantity: quantity.WheelSpeedFL}}, &dictionary.Channel{Quantity: quantity.AccelerationLong}
	told := func(s *signals, sd float64, circumference float64) string {
		p := &pass.Pass{Splits: []pass.Split{{Speed: quantity.Estimate{Value: 80, SD: sd}}}}
		s.tellScale(p, &car.Sheet{LoggerCircum: circumference})
		return strings.Join(p.Notes, "|")
	}
	got := told(&signals{undriven: wheel}, 2.4, 0)
	for _, want := range []string{"known to 3.0 % only", "circumference_set_in_logger_m", "rolling_circumference_m", "timing slip", "satellite receiver or an accelerometer would"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q lacks %q", got, want)
		}
	}
	if got := told(&signals{undriven: wheel, accel: accel}, 2.4, 2); strings.Contains(got, "circumference_set") || strings.Contains(got, "accelerometer") {
		t.Errorf("it asks for what is there: %q", got)
	}
	for name, got := range map[string]string{
		"known well": told(&signals{undriven: wheel}, 0.4, 0), "a receiver": told(&signals{undriven: wheel, sat: wheel}, 2.4, 0),
		"by the engine": told(&signals{driven: wheel, byEngine: true}, 2.4, 0), "driven wheels alone, told apart": told(&signals{driven: wheel}, 2.4, 0),
	} {
		if got != "" {
			t.Errorf("%s: %q", name, got)
		}
	}
}
