package web_test

import (
	"encoding/json"
	"math"
	"net/url"
	"strings"
	"testing"

	"traplight/internal/web"
)

// TestWeatherNow states the air on the day's page, finds it on the next pass's, and is told
// in place what was typed wrong.
func TestWeatherNow(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	weather := func() web.Weather {
		var w web.Weather
		if err := json.Unmarshal(ask(s, "GET", "/api/v1/cars/Marl/weather", nil).Body.Bytes(), &w); err != nil {
			t.Fatal(err)
		}
		return w
	}
	if w := weather(); w.At != "" || w.Density == nil {
		t.Errorf("before anything was stated: %+v", w)
	}
	for name, c := range map[string]struct {
		set  url.Values
		want string
	}{
		"a word":           {url.Values{"air": {"warm"}}, "air temperature"},
		"too hot":          {url.Values{"air": {"400"}}, "air_temp"},
		"nothing":          {url.Values{}, "no weather was stated"},
		"a wrong pressure": {url.Values{"pressure": {"29.9"}}, "pressure"},
	} {
		if code, text := post(s, "/cars/Marl/weather", c.set); code != 422 || !strings.Contains(strings.ToLower(text), c.want) || !strings.Contains(text, "State the air now") {
			t.Errorf("%s: %d", name, code)
		}
	}
	for _, c := range []struct {
		name     string
		set      url.Values
		pressure float64 // Pa
		within   float64 // Pa
	}{
		{"barometer in inHg", url.Values{"pressure": {"29.53"}, "pressure_is": {"inHg, barometer at the strip"}}, 100000, 5},
		// 5000 ft: 84307 Pa in the U.S. Standard Atmosphere, 1976, table I
		{"altitude", url.Values{"pressure": {"5000"}, "pressure_is": {"ft of altitude, no barometer"}}, 84307, 15},
	} {
		c.set.Set("air", "86")
		c.set.Set("humidity", "40")
		if code, text := post(s, "/cars/Marl/weather", c.set); code != 303 {
			t.Fatalf("%s: %d %s", c.name, code, text)
		}
		w := weather()
		if w.At == "" || w.Pressure == nil || math.Abs(*w.Pressure-c.pressure) > c.within || w.Temperature == nil || math.Abs(*w.Temperature-303.15) > 0.01 || w.Density == nil {
			t.Errorf("%s: %+v", c.name, w)
		}
	}
	// A wind is split by the strip's heading.
	if code, text := post(s, "/cars/Marl/weather", url.Values{"air": {"86"}, "pressure": {"1000"}, "pressure_is": {"hPa, barometer at the strip"}, "wind": {"10"}, "from": {"90"}, "gust": {"15"}}); code != 303 {
		t.Fatal(code, text)
	}
	w := weather()
	if w.Headwind == nil || w.Crosswind == nil || math.Abs(math.Hypot(*w.Headwind, *w.Crosswind)-4.4704) > 0.02 || w.Gust == nil {
		t.Errorf("wind: %+v", w)
	}
	if page := ask(s, "GET", "/", nil).Body.String(); !strings.Contains(page, "Air now, entered") || !strings.Contains(page, "gusts to 15 mph") || !strings.Contains(page, "density altitude") {
		t.Error("the day's page does not tell the air now")
	}
	next := ask(s, "GET", "/cars/Marl/next", nil).Body.String()
	if !strings.Contains(next, `name="barometer" inputmode="decimal" value="29.53"`) || !strings.Contains(next, `name="air" inputmode="decimal" value="86"`) {
		t.Error("the next pass does not take the air now")
	}
}
