package main

import (
	"fmt"
	"strings"
)

// spelledParts are logs that hold less than a pass, or more.
var spelledParts = func() []spelling {
	var out []spelling
	add := func(name, wish string, change func(d *draft, launch, finish float64)) {
		out = append(out, spelling{name: "part: " + name, wish: wish, change: func(d *draft) {
			change(d, d.launch, d.finish)
			if wish == "less" {
				d.counts = func(k string) bool {
					return !strings.Contains(k, ".air_path.") && !strings.Contains(k, ".power.") && !strings.Contains(k, ".fuel.") && d.lasting(k)
				}
			}
		}})
	}
	add("from 3 s before the launch", "within", func(d *draft, l, _ float64) { d.cut(l-3, 1e9) })
	add("from 0.5 s before the launch", "within", func(d *draft, l, _ float64) { d.cut(l-0.5, 1e9) })
	add("from the launch", "less", func(d *draft, l, _ float64) { d.cut(l, 1e9) })
	add("from 0.3 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(l+0.3, 1e9) })
	add("from 1 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(l+1, 1e9) })
	add("from 3 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(l+3, 1e9) })
	add("from 8 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(l+8, 1e9) })
	add("to 0.05 s behind the line", "less", func(d *draft, _, f float64) { d.cut(-1, f+0.05) })
	add("to 0.1 s before the line", "less", func(d *draft, _, f float64) { d.cut(-1, f-0.1) })
	add("to 0.6 s before the line", "less", func(d *draft, _, f float64) { d.cut(-1, f-0.6) })
	add("to 3 s before the line", "less", func(d *draft, _, f float64) { d.cut(-1, f-3) })
	add("to 5 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(-1, l+5) })
	add("to 1 s after the launch", "less", func(d *draft, l, _ float64) { d.cut(-1, l+1) })
	add("to the launch", "less", func(d *draft, l, _ float64) { d.cut(-1, l) })
	add("the same again behind it, names again", "within", func(d *draft, _, _ float64) {
		d.lines(func(l []string) []string { return append(append(append([]string{}, l...), ""), l...) })
	})
	add("the same again behind it, clock anew", "within", func(d *draft, _, _ float64) {
		d.lines(func(l []string) []string { return append(append([]string{}, l...), l[1:]...) })
	})
	add("another table behind it", "", func(d *draft, _, _ float64) {
		d.lines(func(l []string) []string {
			return append(l, "", "Lap,Time,Best", "1,12.31,12.31", "2,13.02,12.31")
		})
	})
	add("a table of its channels before it", "", func(d *draft, _, _ float64) {
		d.lines(func(l []string) []string {
			head := []string{"Channel,Unit,Rate"}
			for _, n := range strings.Split(l[0], ",") {
				a, b, _ := strings.Cut(n, " [")
				head = append(head, a+","+strings.TrimSuffix(b, "]")+",100")
			}
			return append(append(head, ""), l...)
		})
	})
	add("ten minutes of idling before it", "within", func(d *draft, _, _ float64) {
		step := d.Time[1] - d.Time[0]
		n := int(600 / step)
		var time []float64
		for i := range n {
			time = append(time, d.Time[0]-float64(n-i)*step)
		}
		d.Time = append(time, d.Time...)
		idle := 100
		for k := range d.Columns {
			c := &d.Columns[k]
			var v []float64
			for i := range n {
				v = append(v, c.Values[i%idle])
			}
			c.Values = append(v, c.Values...)
		}
	})
	return out
}()

// lasting says whether a figure is of a gear that the log holds from its start to its end.
func (d *draft) lasting(k string) bool {
	if len(d.Time) == 0 {
		return false
	}
	if at, ok := d.moments[k]; ok && at < d.Time[0]+1.5 && d.Time[0] > d.launch+0.2 {
		return false
	}
	_, rest, ok := strings.Cut(k, ".gears.")
	if !ok {
		return true
	}
	g, _, _ := strings.Cut(rest, ".")
	span, ok := d.gears[g]
	first := d.Time[0]
	if first > d.launch+0.2 {
		first += 1.5 // the gear that the log begins in, or a shift just behind its start
		if _, more := d.gears[fmt.Sprint(len(d.gears))]; more && g == fmt.Sprint(len(d.gears)) && (strings.Contains(rest, ".end_") || strings.Contains(rest, "full_throttle") || strings.Contains(rest, "charge_temp_end")) {
			return false // without the launch nobody knows where the line is
		}
	}
	return ok && span[0] >= first && span[1] <= d.Time[len(d.Time)-1]
}
