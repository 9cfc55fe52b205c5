package compare

import (
	"encoding/json"
	"strings"
	"testing"

	"traplight/internal/quantity"
)

func TestSentences(t *testing.T) {
	c, err := Along([]Pass{{"quick", steady(6, 0.1)}, {"slow", steady(5.5, 0.1)}, {"quicker", steady(6.4, 0.1)}})
	if err != nil {
		t.Fatal(err)
	}
	said := c.Sentences(quantity.Metric)
	if len(said) != 4 {
		t.Fatalf("%d sentences for two passes", len(said))
	}
	for i, want := range []string{" behind quick at 1/2 mile, and ", " ahead of quick at 1/2 mile, and "} {
		if !strings.Contains(said[2*i], want) {
			t.Errorf("%q does not say %q", said[2*i], want)
		}
		if name := []string{"Slow was ", "Quicker was "}[i]; !strings.HasPrefix(said[2*i], name) {
			t.Errorf("%q does not begin with %q", said[2*i], name)
		}
		if !strings.HasPrefix(said[2*i+1], "The largest part of it arose between 60 ft and 1/8 mile") {
			t.Errorf("%q does not say where", said[2*i+1])
		}
	}
	if !strings.Contains(said[0], "slower there") || !strings.Contains(said[2], "faster there") {
		t.Errorf("the speeds are told wrongly: %q", said)
	}
	var text strings.Builder
	if err := c.WriteText(&text, quantity.Imperial); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text.String(), "1/4 mile to 1/2 mile") || !strings.Contains(text.String(), "mph") {
		t.Errorf("text: %s", text.String())
	}
}

func TestWhereArose(t *testing.T) {
	for share, want := range map[float64]string{0.3: "The largest part of it arose", 0.7: "Most of it arose", 1.9: "All of it and more arose"} {
		if got := whereArose(share); got != want {
			t.Errorf("a share of %g: %q, want %q", share, got, want)
		}
	}
}

// TestAnswer: the JSON holds no number that JSON cannot.
func TestAnswer(t *testing.T) {
	c, err := Along([]Pass{{"a", steady(6, 0.1)}, {"b", steady(5, 0.3)}})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := json.Marshal(c.Answer())
	if err != nil {
		t.Fatal(err)
	}
	var back Answer
	if err := json.Unmarshal(raw, &back); err != nil {
		t.Fatal(err)
	}
	if len(back.Passes) != 2 || len(back.Sections) != len(c.Sections) || back.Sections[0].Parts[0].LostS != nil || back.Sections[0].Parts[1].LostS == nil {
		t.Errorf("answer: %d passes, %d sections", len(back.Passes), len(back.Sections))
	}
}
