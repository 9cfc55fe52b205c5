package main

import (
	"fmt"
	"maps"
	"math"
	"strings"
)

// difference holds one report against another.
type difference struct {
	shift    float64 // s, by which the log's own clock was moved
	compared int
	lines    []string
	said     map[string]bool
}

func (d *difference) tell(path, format string, args ...any) {
	d.lines = append(d.lines, path+": "+fmt.Sprintf(format, args...))
}

func (d *difference) walk(path string, want, got any, wantIn, gotIn map[string]any) {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			d.tell(path, "%v, want an object", got)
			return
		}
		tie := d.tie(w["power"], g["power"])
		for k := range w {
			if tie && k == "power" {
				continue
			}
			wk, gk := w[k], g[k]
			if tie && (k == "air_path" || k == "fuel") {
				wk, gk = without(wk, atPeak), without(gk, atPeak)
			}
			if k != "chance_on_healthy_car" && k != "evidence" && k != "channels" && k != "notes" && k != "not_judged" && k != "file" {
				d.walk(path+"."+k, wk, gk, w, g)
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			d.tell(path, "%v, want %d entries", got, len(w))
			return
		}
		for i := range w {
			d.walk(fmt.Sprintf("%s[%d]", path, i), w[i], g[i], nil, nil)
		}
	case float64:
		g, ok := got.(float64)
		if !ok {
			d.tell(path, "%v, want %v", got, w)
			return
		}
		d.compared++
		key, _, _ := strings.Cut(path[strings.LastIndexByte(path, '.')+1:], "[") // of a list, its own
		if strings.HasSuffix(key, "_s") && onLogClock[key] {
			g -= d.shift
		}
		if math.Abs(g-w) > tolerance(key, w, wantIn) {
			d.tell(path, "%v, want %v (%.2g)", g, w, g-w)
		}
	default:
		if want != got {
			d.tell(path, "%v, want %v", got, want)
		}
	}
}

// tie says whether two moments of a pass have the same peak power, so that rounding
// chooses between them: what is read off at that moment then cannot be compared.
func (d *difference) tie(want, got any) bool {
	w, ok1 := want.(map[string]any)
	g, ok2 := got.(map[string]any)
	if !ok1 || !ok2 {
		return false
	}
	num := func(m map[string]any, k string) float64 {
		if v, ok := m[k].(float64); ok {
			return v
		}
		return math.NaN()
	}
	same := math.Abs(num(g, "peak_wheel_w")-num(w, "peak_wheel_w")) <= tolerance("peak_wheel_w", num(w, "peak_wheel_w"), w)
	return same && math.Abs(num(g, "at_s")-d.shift-num(w, "at_s")) > 0.05
}

// atPeak are the figures outside "power" that are read off at the moment of peak power.
var atPeak = []string{"air_flow_kgps", "volumetric_efficiency", "efficiency"}

// without is a copy of an object that leaves some keys out.
func without(v any, keys []string) any {
	m, ok := v.(map[string]any)
	if !ok {
		return v
	}
	m = maps.Clone(m)
	for _, k := range keys {
		delete(m, k)
	}
	return m
}

var onLogClock = map[string]bool{"launch_s": true, "rollout_s": true, "finish_s": true, "lift_s": true, "start_s": true, "end_s": true, "at_s": true, "t_s": true, "closed_s": true}

// tolerance is what rounding explains of a number: a tenth of its standard
// deviation, where it has one.
func tolerance(key string, w float64, in map[string]any) float64 {
	if strings.Contains(key, "_sd") || strings.HasPrefix(key, "sd_") {
		return 0.06*math.Abs(w) + 1e-9
	}
	tol := 2e-3*math.Abs(w) + 1e-6
	switch {
	case key == "full_throttle_s", key == "spun_s":
		return 0.011 // counted in steps of a hundredth
	case key == "density_altitude_m":
		return 1
	case strings.HasSuffix(key, "_s"):
		tol = 1e-3
	case strings.HasSuffix(key, "_m"):
		tol = max(tol, 1e-4) // where the car stood at the launch is a few micrometres off zero
	case strings.HasSuffix(key, "_pa"):
		tol = max(tol, 60) // most prints have steps of 100 Pa or more
	case strings.Contains(key, "back_pressure"):
		tol = 4e-3 * math.Abs(w)
	}
	for k, v := range in {
		if sd, ok := v.(float64); ok && strings.Contains(k, "_sd") && strings.Replace(k, "_sd", "", 1) == key || k == "sd_mps" && key == "speed_mps" {
			tol = max(0.1*sd, 1e-6*math.Abs(w))
			if strings.HasSuffix(key, "_s") {
				tol = max(tol, 1e-3)
			}
		}
	}
	return tol
}
