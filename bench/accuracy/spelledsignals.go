package main

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/logfile/logfiletest"
	"traplight/internal/quantity"
)

// spelledSignals are channels that measure otherwise.
var spelledSignals = func() []spelling {
	var out []spelling
	add := func(name, wish string, change func(d *draft)) {
		out = append(out, spelling{name: "signal: " + name, wish: wish, change: change})
	}
	over := func(name, unit string, prefixes ...string) {
		add(name, "", func(d *draft) {
			u := quantity.MustUnit(unit)
			d.each(func(c *logfiletest.Column, w *writtenColumn) {
				c.Values = convertColumn(c.Values, w.unit, unit, d.barometer)
				for i := range c.Values {
					c.Values[i] = math.Round(1e4*(c.Values[i]+d.barometer/u.Factor)) / 1e4
				}
				c.Unit = unit
			}, prefixes...)
		})
	}
	gauges := []string{"oil_pressure", "fuel_pressure", "coolant_pressure"}
	over("gauges count from vacuum, kPa, silent", "kPa", gauges...)
	over("gauges count from vacuum, bar, silent", "bar", gauges...)
	over("gauges count from vacuum, psi, silent", "psi", gauges...)
	over("oil pressure alone from vacuum, silent", "kPa", "oil_pressure")
	over("fuel pressure alone from vacuum, silent", "kPa", "fuel_pressure")
	over("coolant pressure alone from vacuum, silent", "kPa", "coolant_pressure")
	over("crankcase pressure from vacuum, silent", "kPa", "crankcase")
	for _, q := range []string{"map", "exhaust_manifold_pressure"} {
		add(q+" over the barometer, silent", "", func(d *draft) {
			d.in("kPa gauge", q)
			d.each(func(c *logfiletest.Column, _ *writtenColumn) { c.Unit = "kPa" }, q)
		})
	}
	add("throttle backwards, %", "", func(d *draft) { d.scaled("%", -100, 100, 0.1, "throttle") })
	add("throttle degrees", "within", func(d *draft) { d.scaled("deg", 82, 4, 0.1, "throttle") })
	add("throttle degrees, backwards", "within", func(d *draft) { d.scaled("deg", -82, 86, 0.1, "throttle") })
	add("throttle volts", "within", func(d *draft) { d.scaled("V", 3.9, 0.6, 0.01, "throttle") })
	add("throttle volts, backwards", "within", func(d *draft) { d.scaled("V", -3.9, 4.5, 0.01, "throttle") })
	add("throttle millivolts", "within", func(d *draft) { d.scaled("mV", 3900, 600, 5, "throttle") })
	add("throttle %, 12 to 88", "within", func(d *draft) { d.scaled("%", 76, 12, 0.1, "throttle") })
	add("throttle a switch", "less", func(d *draft) {
		d.each(func(c *logfiletest.Column, _ *writtenColumn) {
			for i, x := range c.Values {
				if !math.IsNaN(x) {
					c.Values[i] = b2f(x > 90)
				}
			}
			c.Unit = ""
		}, "throttle")
	})
	add("brake volts", "within", func(d *draft) { d.scaled("V", 4, 0.5, 0.01, "brake") })
	add("acceleration along, turned round", "", func(d *draft) { d.scaled("g", -1/9.80665, 0, 1e-4, "accel_long") })
	add("accelerations both turned round", "", func(d *draft) { d.scaled("g", -1/9.80665, 0, 1e-4, "accel_") })
	add("accelerations exchanged", "within", func(d *draft) {
		d.call(map[string]string{"accel_long": "Lateral accel", "accel_lat": "Longitudinal accel"})
	})
	add("accelerations X and Y", "", func(d *draft) { d.call(map[string]string{"accel_long": "Accel X", "accel_lat": "Accel Y"}) })
	add("accelerations Y and X", "within", func(d *draft) { d.call(map[string]string{"accel_long": "Accel Y", "accel_lat": "Accel X"}) })
	add("acceleration off by 0.3 g", "within", func(d *draft) { d.scaled("g", 1/9.80665, 0.3, 1e-4, "accel_long") })
	add("acceleration 1, 2, no unit", "within", func(d *draft) {
		d.call(map[string]string{"accel_long": "Accel 1", "accel_lat": "Accel 2"})
		d.each(func(c *logfiletest.Column, _ *writtenColumn) { c.Unit = "" }, "accel_")
	})
	for _, w := range []struct {
		unit   string
		factor float64 // of turns a second
		step   float64
	}{{"rpm", 60, 0.1}, {"Hz", 1, 0.01}, {"rad/s", 2 * math.Pi, 0.01}, {"1/s", 1, 0.001}, {"Hz", 48, 1}} {
		add(fmt.Sprintf("wheels in %s × %.3g", w.unit, w.factor), "within", func(d *draft) { d.scaled(w.unit, w.factor/d.circumference, 0, w.step, "wheel_") })
	}
	add("wheels left and right exchanged", "within", func(d *draft) {
		d.call(map[string]string{"wheel_fl": "Wheel speed front right", "wheel_fr": "Wheel speed front left"})
	})
	add("wheels front and rear exchanged", "within", func(d *draft) {
		d.call(map[string]string{"wheel_fl": "Wheel speed rear left", "wheel_fr": "Wheel speed rear right", "wheel_rl": "Wheel speed front left", "wheel_rr": "Wheel speed front right"})
	})
	add("wheels 1 to 4", "within", func(d *draft) {
		d.call(map[string]string{"wheel_fl": "Wheel speed 1", "wheel_fr": "Wheel speed 2", "wheel_rl": "Wheel speed 3", "wheel_rr": "Wheel speed 4"})
	})
	add("two wheels, front and rear", "within", func(d *draft) {
		d.keep(func(q string) bool { return q != "wheel_fr" && q != "wheel_rr" })
		d.call(map[string]string{"wheel_fl": "Front wheel speed", "wheel_rl": "Rear wheel speed"})
	})
	add("driven and undriven speed", "within", func(d *draft) {
		d.keep(func(q string) bool { return q != "wheel_fr" && q != "wheel_rr" })
		d.call(map[string]string{"wheel_fl": "Driven wheel speed", "wheel_rl": "Ground speed"})
	})
	add("one vehicle speed from the front", "less", func(d *draft) {
		d.keep(func(q string) bool { return q != "wheel_fr" && q != "wheel_rr" && q != "wheel_rl" })
		d.call(map[string]string{"wheel_fl": "Vehicle speed"})
	})
	for _, late := range []float64{0.1, 0.3, 0.5} {
		add(fmt.Sprintf("satellite speed %.1f s late", late), "within", func(d *draft) {
			n := int(math.Round(late / (d.Time[1] - d.Time[0])))
			d.each(func(c *logfiletest.Column, _ *writtenColumn) {
				for i := len(c.Values) - 1; i >= 0; i-- {
					if i < n {
						c.Values[i] = math.NaN()
					} else {
						c.Values[i] = c.Values[i-n]
					}
				}
			}, "gps_")
		})
	}
	position := func(name string, lat, lon func(x float64) string) {
		add("position "+name, "within", func(d *draft) {
			for i := range d.Columns {
				f := lat
				switch d.known[i].quantity {
				case "gps_lon":
					f = lon
				case "gps_lat":
				default:
					continue
				}
				c := &d.Columns[i]
				c.Text, c.Unit = make([]string, len(c.Values)), ""
				for k, x := range c.Values {
					if !math.IsNaN(x) {
						c.Text[k] = f(x)
					}
				}
			}
		})
	}
	minutes := func(format, pos, neg string) func(x float64) string {
		return func(x float64) string {
			s := pos
			if x < 0 {
				s, x = neg, -x
			}
			deg := math.Floor(x)
			return strings.NewReplacer("H", s).Replace(fmt.Sprintf(format, deg, (x-deg)*60))
		}
	}
	both := func(format string) (lat, lon func(float64) string) {
		return minutes(format, "N", "S"), minutes(format, "E", "W")
	}
	signed := func(format string) (lat, lon func(float64) string) {
		return minutes(format, "", "-"), minutes(format, "", "-")
	}
	lat, lon := both("%02.0f°%08.5f'H")
	position("46°48.80'N", lat, lon)
	lat, lon = both("%02.0f %08.5f H")
	position("46 48.80 N", lat, lon)
	lat, lon = both("%02.0f%08.5fH")
	position("4648.80N", lat, lon)
	lat, lon = both("H%02.0f%08.5f")
	position("N4648.80", lat, lon)
	lat, lon = signed("H%02.0f%08.5f")
	position("-4648.80", lat, lon)
	lat, lon = signed("H%02.0f:%08.5f")
	position("-46:48.80", lat, lon)
	dms := func(pos, neg string) func(float64) string {
		return func(x float64) string {
			s := pos
			if x < 0 {
				s, x = neg, -x
			}
			t := math.Round(x * 3600e4)
			return fmt.Sprintf("%.0f°%02.0f'%07.4f\"%s", math.Floor(t/3600e4), math.Mod(math.Floor(t/60e4), 60), math.Mod(t, 60e4)/1e4, s)
		}
	}
	position("46°48'48.2\"N", dms("N", "S"), dms("E", "W"))
	number := func(factor float64, dec int) func(float64) string {
		return func(x float64) string { return fmt.Sprintf("%.*f", dec, x*factor) }
	}
	position("in 1e-7 degrees", number(1e7, 0), number(1e7, 0))
	position("in minutes", number(60, 6), number(60, 6))
	position("in radians", number(math.Pi/180, 9), number(math.Pi/180, 9))
	position("west counted positive", number(1, 7), number(-1, 7))
	position("in hundred thousandths of minutes", number(6e6, 0), number(6e6, 0))
	return out
}()
