package page

import (
	_ "embed"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

//go:embed style.css
var css string

var colour = regexp.MustCompile(`--(\w+): (#[0-9a-f]{3}(?:[0-9a-f]{3})?)\b`)

// luminance is the relative luminance, 0–1, of a colour as #rgb or #rrggbb (W3C, Web Content
// Accessibility Guidelines 2.2, "relative luminance").
func luminance(t *testing.T, hex string) float64 {
	if hex = hex[1:]; len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// TestContrast holds every colour in which something is written against what it is written on,
// on the light ground and on the dark one: 4.5 to 1 (WCAG 2.2, 1.4.3 AA). The accessibility
// checker of the page's tests does not see drawings.
func TestContrast(t *testing.T) {
	light, dark, ok := strings.Cut(css, "prefers-color-scheme: dark")
	if !ok {
		t.Fatal("no dark ground")
	}
	dark, _, _ = strings.Cut(dark, "\n}")
	light, _, _ = strings.Cut(light, "}")
	contrast := func(a, b string) float64 {
		x, y := luminance(t, a), luminance(t, b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	if c := contrast("#000", "#fff"); math.Abs(c-21) > 1e-9 { // as the guideline says
		t.Fatalf("black on white: %g", c)
	}
	for name, block := range map[string]string{"light": light, "dark": dark} {
		is := map[string]string{}
		for _, m := range colour.FindAllStringSubmatch(block, -1) {
			is[m[1]] = m[2]
		}
		for _, k := range [][2]string{{"ink", "ground"}, {"ink", "raised"}, {"soft", "ground"}, {"soft", "raised"}, {"accent", "ground"}, {"accent", "raised"},
			{"onlane", "lane0"}, {"onlane", "lane1"}, {"ink", "band0"}, {"soft", "band0"},
			{"p1", "ground"}, {"p2", "ground"}, {"p3", "ground"}, {"p4", "ground"}, {"p5", "ground"}, {"p6", "ground"}} {
			if is[k[0]] == "" || is[k[1]] == "" {
				t.Fatalf("%s: no colour %v", name, k)
			}
			if c := contrast(is[k[0]], is[k[1]]); c < 4.5 {
				t.Errorf("%s: %s on %s has a contrast of %.2f", name, k[0], k[1], c)
			}
		}
	}
}
