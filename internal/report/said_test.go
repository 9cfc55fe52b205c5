package report

import (
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// TestSaid: other doors say what the text says, word for word.
func TestSaid(t *testing.T) {
	r := Assemble([]Source{inventedSource()}, nil, Options{})
	var text strings.Builder
	if err := WriteText(&text, r, TextOptions{Units: "us"}); err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(text.String()), " ")
	said := r.Say(0, quantity.Imperial)
	count := 0
	for _, part := range [][]string{said.Fit, said.Headline, said.Grip, said.Power, said.Air, said.Where, r.SayCautions(quantity.Imperial)} {
		if len(part) == 0 {
			t.Error("a part says nothing")
		}
		for _, s := range part {
			count++
			if !strings.Contains(flat, s) {
				t.Errorf("the text does not say %q", s)
			}
		}
	}
	if count < 12 {
		t.Errorf("only %d sentences", count)
	}
	for name, table := range map[string]Table{"splits": said.Splits, "gears": said.Gears, "engine": said.Engine, "shifts": said.Shifts} {
		if len(table.Rows) == 0 || len(table.Names) != len(table.Units) || len(table.Names) != len(table.Left) {
			t.Errorf("%s: %+v", name, table)
		}
		for _, row := range table.Rows {
			for c, cell := range row {
				if cell != "" && !strings.Contains(text.String(), cell) {
					t.Errorf("%s: cell %q of %q is not in the text", name, cell, table.Names[c])
				}
			}
		}
	}
}
