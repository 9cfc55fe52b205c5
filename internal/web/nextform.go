package web

import (
	"context"
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

// freshID is an id that no planned entry has.
func (h *shop) freshID(ctx context.Context, p store.Pass) (string, error) {
	all, err := h.st.Entries(ctx, store.PlannedEntry)
	if err != nil {
		return "", err
	}
	for i := 1; ; i++ {
		id := fmt.Sprintf("after-%s-%d", strings.ReplaceAll(p.Name, " ", "-"), i)
		if !slices.ContainsFunc(all, func(e store.Entry) bool { return e.Key == id }) {
			return id, nil
		}
	}
}

// plannedText writes a form as an entry of the notes.
func plannedText(id string, p store.Pass, form url.Values, w quantity.World) (string, error) {
	var b strings.Builder
	fmt.Fprintf(&b, "id = %q\nafter = %q\nafter_index = %d\nevent = %q\n", id, p.File, p.Number, p.Event)
	list := func(field, key string, convert func(float64) float64, digits int) error {
		var out []string
		if strings.TrimSpace(strings.Join(form[field], "")) == "" {
			return nil // as before; a car without boost has none to set
		}
		for i, t := range form[field] {
			if strings.TrimSpace(t) == "" {
				return wrong("%s of gear %d is missing", field, i+1)
			}
			x, err := typedNumber(fmt.Sprintf("%s of gear %d", field, i+1), t)
			if err != nil {
				return err
			}
			out = append(out, plain(convert(x), digits))
		}
		if len(out) > 0 {
			fmt.Fprintf(&b, "%s = [%s]\n", key, strings.Join(out, ", "))
		}
		return nil
	}
	if err := list("boost", "boost_target_kpa_by_gear", func(x float64) float64 { return w.SI(quantity.DimPressure, x) / 1e3 }, 3); err != nil {
		return "", err
	}
	if err := list("shift", "shift_rpm_aim", func(x float64) float64 { return x }, 0); err != nil {
		return "", err
	}
	fmt.Fprintf(&b, "nitrous = %v\n", form.Get("nitrous") != "")
	one := func(field, key string, convert func(float64) float64, digits int) error {
		t := form.Get(field)
		if strings.TrimSpace(t) == "" {
			return nil
		}
		x, err := typedNumber(field, t)
		if err == nil {
			fmt.Fprintf(&b, "%s = %s\n", key, plain(convert(x), digits))
		}
		return err
	}
	same := func(x float64) float64 { return x }
	for _, f := range []struct {
		field, key string
		convert    func(float64) float64
		digits     int
	}{
		{"launch_rpm", "launch_rpm", same, 0},
		{"cold", "tyre_cold_bar", func(x float64) float64 { return w.SI(quantity.DimPressure, x) / 1e5 }, 4},
	} {
		if err := one(f.field, f.key, f.convert, f.digits); err != nil {
			return "", err
		}
	}
	weather, err := weatherText(form, w)
	return b.String() + weather, err
}

// number reads a figure as people type it; name is for the complaint.
func typedNumber(name, text string) (float64, error) {
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, wrong("%q is not a number (%s)", text, name)
	}
	return x, nil
}

func oneOf(a, b []float64) []float64 {
	if a != nil {
		return a
	}
	return b
}

func (v *nextView) fill(key string, x float64, digits int) {
	if !math.IsNaN(x) && !math.IsInf(x, 0) && x != 0 {
		v.Form[key] = plain(x, digits)
	}
}

func plain(x float64, digits int) string {
	return strconv.FormatFloat(tidy(x, digits), 'f', -1, 64)
}

// rpm is the unit in which shifts are set, whoever reads.
var rpm = quantity.MustUnit("rpm")
