package main

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// figure is a number of a report with its standard deviation, NaN without.
type figure struct{ value, sd float64 }

// figures lists the numbers of a report's passes by where they stand; marks, gears and
// shifts are told by their own names, not by their place.
func figures(rep map[string]any, shift float64) map[string]figure {
	out := map[string]figure{}
	passes, _ := rep["passes"].([]any)
	for i, p := range passes {
		m, _ := p.(map[string]any)
		for _, k := range []string{"trap", "splits", "gears", "shifts", "power", "air", "fuel", "air_path", "launch_s", "finish_s", "rollout_s"} {
			collect(out, fmt.Sprintf("%d.%s", i, k), m[k], m, k, shift)
		}
	}
	return out
}

func collect(out map[string]figure, path string, v any, in map[string]any, key string, shift float64) {
	switch x := v.(type) {
	case map[string]any:
		for k, w := range x {
			collect(out, path+"."+k, w, x, k, shift)
		}
	case []any:
		for i, e := range x {
			name := fmt.Sprint(i)
			if m, ok := e.(map[string]any); ok {
				for _, k := range []string{"mark", "gear", "from"} {
					if v, ok := m[k]; ok {
						name = fmt.Sprint(v)
						break
					}
				}
			}
			collect(out, path+"."+name, e, nil, key, shift)
		}
	case float64:
		if onLogClock[key] {
			x -= shift
		}
		if strings.Contains(key, "_sd") || strings.HasPrefix(key, "sd_") {
			return
		}
		f := figure{x, math.NaN()}
		for k, s := range in {
			if sd, ok := s.(float64); ok && (strings.Contains(k, "_sd") && (strings.Replace(k, "_sd", "", 1) == key || strings.Replace(k, "_sd", "_torque", 1) == key) || k == "sd_mps" && key == "speed_mps") {
				f.sd = sd
			}
		}
		out[path] = f
	}
}

// loose says what may move without a standard deviation beside it.
func loose(path string, w float64) float64 {
	switch {
	case strings.HasSuffix(path, "_s"):
		return 0.06
	case strings.HasSuffix(path, "_pa"):
		return 1500 + 0.015*math.Abs(w)
	case strings.HasSuffix(path, "_k"):
		return 1.5
	case strings.HasSuffix(path, "_m"):
		return 0.5 + 0.03*math.Abs(w)
	case strings.Contains(path, "used_grip_max"): // the highest of noisy means
		return 0.2 * math.Abs(w)
	case strings.Contains(path, "used_grip"):
		return 0.03 + 0.04*math.Abs(w)
	case strings.Contains(path, "slip"), strings.Contains(path, "density_altitude"):
		return 0.02 + 0.02*math.Abs(w)
	}
	return 0.02*math.Abs(w) + 1e-6
}

// sameMoment leaves out where and how the peak of power was where two moments have the
// same, so that anything chooses between them.
func sameMoment(w, g map[string]figure) func(k string) bool {
	tie := map[string]bool{}
	for k, x := range w {
		if p, ok := strings.CutSuffix(k, ".power.peak_wheel_w"); ok {
			tie[p+".power."] = math.Abs(g[k].value-x.value) < max(0.005*x.value, x.sd) && math.Abs(g[p+".power.at_s"].value-w[p+".power.at_s"].value) > 0.05
		}
	}
	return func(k string) bool {
		for p, t := range tie {
			if t && strings.HasPrefix(k, p) {
				return true
			}
		}
		return strings.HasSuffix(k, "pressure_loss_pa") // of one moment
	}
}

// beyondIntervals holds a report's figures against those of the same passes: what lies
// beyond the 90 % interval of both together, and what is missing.
func beyondIntervals(w, g map[string]figure, counts func(string) bool) (far, missing []string, compared int) {
	tied := sameMoment(w, g)
	keys := slices.Sorted(maps.Keys(w))
	for _, k := range keys {
		x, ok := g[k]
		switch {
		case counts != nil && !counts(k), ok && tied(k):
			continue
		case !ok:
			missing = append(missing, k)
			continue
		}
		compared++
		tol := loose(k, w[k].value)
		if !math.IsNaN(x.sd) && !math.IsNaN(w[k].sd) {
			tol = 1.645*math.Hypot(x.sd, w[k].sd) + 1e-3
			if !strings.HasSuffix(k, "_s") {
				tol += 1e-3 * math.Abs(w[k].value)
			}
		} else if !math.IsNaN(x.sd) {
			tol = max(tol, 1.645*x.sd)
		}
		if d := math.Abs(x.value - w[k].value); d > tol {
			far = append(far, fmt.Sprintf("%s %.5g, want %.5g ± %.2g", k, x.value, w[k].value, tol/1.645))
		}
	}
	return far, missing, compared
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
