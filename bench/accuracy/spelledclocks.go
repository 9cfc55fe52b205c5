package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// spelledClocks are ways to tell the time.
var spelledClocks = func() []spelling {
	var out []spelling
	for _, c := range []string{"ms", "us", "time of day", "iso", "date and time", "american", "unix", "unix ms", "spreadsheet"} {
		wish := ""
		if c == "spreadsheet" {
			wish = "within"
		}
		out = append(out, spelling{name: "clock: " + c, wish: wish, change: func(d *draft) {
			d.text.Clock, d.moved = c, true
			if c == "spreadsheet" {
				d.text.Decimals = 12
			}
		}})
	}
	written := func(name, head, wish string, f func(t float64) string) {
		out = append(out, spelling{name: "clock: " + name, wish: wish, change: func(d *draft) { d.clock(head, f) }})
	}
	hms := func(t float64, format string) string {
		ms := int(math.Round(t * 1e3))
		return fmt.Sprintf(format, ms/3600000, ms/60000%60, ms/1000%60, ms%1000)
	}
	written("ns", "Time [ns]", "", func(t float64) string { return strconv.FormatFloat(t*1e9, 'f', 0, 64) })
	written("minutes", "Time [min]", "within", func(t float64) string { return strconv.FormatFloat(t/60, 'f', 7, 64) })
	written("hours", "Time [h]", "within", func(t float64) string { return strconv.FormatFloat(t/3600, 'f', 9, 64) })
	written("days of a spreadsheet, five decimals", "Time", "less", func(t float64) string { return strconv.FormatFloat(52734.5+t/86400, 'f', 5, 64) })
	written("share of a day", "Time of day", "within", func(t float64) string { return strconv.FormatFloat(0.5+t/86400, 'f', 10, 64) })
	written("hh:mm:ss:mmm", "Time", "", func(t float64) string { return hms(t, "%02d:%02d:%02d:%03d") })
	written("mm:ss.mmm", "Time", "", func(t float64) string {
		return fmt.Sprintf("%02d:%06.3f", int(t+5e-4)/60, math.Mod(math.Round(t*1e3), 60000)/1e3)
	})
	written("hh:mm:ss.mmm PM", "Time", "", func(t float64) string { return hms(t+3600, "%02d:%02d:%02d.%03d PM") })
	written("ISO, Z", "UTC", "", func(t float64) string { return "2031-05-17T" + hms(t+36000, "%02d:%02d:%02d.%03dZ") })
	written("ISO, zone", "Time", "", func(t float64) string { return "2031-05-17T" + hms(t+36000, "%02d:%02d:%02d.%03d+02:00") })
	written("ISO, no signs", "Time", "", func(t float64) string { return "20310517T" + hms(t+36000, "%02d%02d%02d.%03d") })
	written("ISO, blank", "Time", "", func(t float64) string { return "2031-05-17 " + hms(t+36000, "%02d:%02d:%02d.%03d") })
	written("day.month.year", "Datum/Zeit", "", func(t float64) string { return "17.05.2031 " + hms(t+36000, "%02d:%02d:%02d.%03d") })
	written("month name", "Date", "", func(t float64) string { return "17-May-2031 " + hms(t+36000, "%02d:%02d:%02d.%03d") })
	written("hhmmss.mmm in one number", "UTC time", "", func(t float64) string { return hms(t+36000, "%02d%02d%02d.%03d") })
	written("h m s letters", "Time", "", func(t float64) string { return hms(t+36000, "%02dh%02dm%02d.%03ds") })
	written("whole seconds", "Time [s]", "less", func(t float64) string { return strconv.Itoa(int(t + 1e-9)) })
	written("tenths", "Time [s]", "within", func(t float64) string { return strconv.FormatFloat(math.Floor(t*10+1e-9)/10, 'f', 1, 64) })
	written("hundredths, cut", "Time [s]", "within", func(t float64) string { return strconv.FormatFloat(math.Floor(t*100+1e-6)/100, 'f', 2, 64) })
	written("counter of rows, rate unknown", "Sample", "less", nil)
	written("from minus five", "Time [s]", "", func(t float64) string { return strconv.FormatFloat(t-5, 'f', 3, 64) })
	written("no name", "", "", func(t float64) string { return strconv.FormatFloat(t, 'f', 3, 64) })
	written("French name", "Temps écoulé [s]", "", func(t float64) string { return strconv.FormatFloat(t, 'f', 3, 64) })
	written("x-axis", "xtime", "", func(t float64) string { return strconv.FormatFloat(t, 'f', 3, 64) })
	written("ticks of 0.1 ms, no unit", "Timestamp", "less", func(t float64) string { return strconv.FormatFloat(t*1e4, 'f', 0, 64) })
	written("ms, no unit", "Time", "", func(t float64) string { return strconv.FormatFloat(t*1e3, 'f', 0, 64) })
	for _, meta := range []string{"Sample rate: RATE Hz", "Frequency,RATE,Hz", "Interval [ms],STEP", "Abtastrate = RATE Hz", "# sampling period: 0.STEP s"} {
		out = append(out, spelling{name: "clock: none, " + meta, change: func(d *draft) {
			d.lines(func(l []string) []string {
				for i := range l {
					_, l[i], _ = strings.Cut(l[i], ",")
				}
				step := d.Time[1] - d.Time[0]
				told := strings.NewReplacer("RATE", fmt.Sprint(math.Round(1/step)), "0.STEP", fmt.Sprintf("%.4f", step), "STEP", fmt.Sprintf("%.4g", step*1e3)).Replace(meta)
				return append([]string{told, ""}, l...)
			})
			d.moved = true
		}})
	}
	out = append(out,
		spelling{name: "clock: seconds and milliseconds apart", change: func(d *draft) {
			d.clock("Seconds,Milliseconds", func(t float64) string {
				ms := int(math.Round(t * 1e3))
				return fmt.Sprintf("%d,%d", ms/1000, ms%1000)
			})
		}},
		spelling{name: "clock: seconds and date beside", change: func(d *draft) {
			d.clock("Date,Elapsed [s]", func(t float64) string { return "2031-05-17," + strconv.FormatFloat(t, 'f', 3, 64) })
		}},
		spelling{name: "clock: elapsed and whole-second wall clock", change: func(d *draft) {
			d.clock("Elapsed [s],Clock", func(t float64) string {
				return strconv.FormatFloat(t, 'f', 3, 64) + "," + hms(math.Floor(t+36000), "%02d:%02d:%02d%.0d")
			})
		}},
		spelling{name: "clock: elapsed and lap time", change: func(d *draft) {
			d.clock("Lap time [s],Elapsed [s]", func(t float64) string {
				return strconv.FormatFloat(math.Mod(t, 11), 'f', 3, 64) + "," + strconv.FormatFloat(t, 'f', 3, 64)
			})
		}},
		spelling{name: "clock: rows fall", change: func(d *draft) {
			d.lines(func(l []string) []string {
				for i, j := 1, len(l)-1; i < j; i, j = i+1, j-1 {
					l[i], l[j] = l[j], l[i]
				}
				return l
			})
		}},
	)
	return out
}()

// clock writes another time column; f nil counts rows.
func (d *draft) clock(head string, f func(t float64) string) {
	d.lines(func(l []string) []string {
		for k := range l {
			_, rest, _ := strings.Cut(l[k], ",")
			switch {
			case k == 0:
				l[k] = head + "," + rest
			case f == nil:
				l[k] = strconv.Itoa(k) + "," + rest
			default:
				l[k] = f(d.Time[k-1]-d.Time[0]) + "," + rest
			}
		}
		return l
	})
	d.moved = true
}
