package demo

import "math/rand/v2"

// Quirk is something odd in a log that is no fault of the car.
type Quirk struct {
	Kind    string  // "dropout", "reflection", "rows_missing", "clock_step", "duplicated_stamps", "partial_last_line", "spikes"
	Channel string  // quantity, as in the truth; "gps" for all of the receiver
	From    float64 // s from the release of the clutch
	To      float64 // s from the release of the clutch
	Seconds float64 // s, of a clock step
	Share   float64 // 1, of rows with a repeated stamp, of samples with a spike
}

func (q Quirk) hits(ch string) bool {
	return q.Channel == ch || q.Channel == "gps" && (ch == "gps_speed" || ch == "gps_lat" || ch == "gps_lon")
}

// apply changes the readings of a channel; release is the time of clutch
// release on the run's clock.
func (q Quirk) apply(ch *channel, rd *reading, release float64, r *rand.Rand) {
	if !q.hits(ch.q) {
		return
	}
	from, to := release+q.From, release+q.To
	switch q.Kind {
	case "dropout":
		keep := reading{}
		for i, t := range rd.t {
			if t < from || t > to {
				keep.t = append(keep.t, t)
				keep.v = append(keep.v, rd.v[i])
			}
		}
		*rd = keep
	case "reflection":
		for i, t := range rd.t {
			if t < from || t > to {
				continue
			}
			switch ch.q {
			case "gps_speed":
				rd.v[i] = max(0, rd.v[i]*0.9-1.5+2.2*r.NormFloat64())
			case "gps_lat", "gps_lon":
				rd.v[i] += (9 + 3*r.NormFloat64()) / 6.371e6 / deg
			}
		}
	case "spikes":
		for i := range rd.v {
			if r.Float64() < q.Share {
				rd.v[i] += rd.v[i]*(0.5+r.Float64()) + 10*ch.quantum
			}
		}
	}
}

// sensorFault changes the readings of the faulty sensor.
func (f *Fault) sensorFault(rd *reading, release float64, r *rand.Rand) {
	t0 := release + f.After
	if f.Always {
		t0 = -1e9
	}
	held, have := 0.0, false
	for i, t := range rd.t {
		if t < t0 {
			held, have = rd.v[i], true
			continue
		}
		switch f.Mode {
		case "stuck":
			if have {
				rd.v[i] = held
			} else {
				held, have = rd.v[i], true
			}
		case "drift":
			rd.v[i] += f.Severity * min((t-t0)/max(f.Ramp, 0.5), 1)
		case "scale":
			rd.v[i] *= 1 + f.Severity
		case "noise":
			rd.v[i] += f.Severity * r.NormFloat64()
		case "spikes":
			if r.Float64() < 0.03 {
				rd.v[i] += f.Severity * (1 + r.Float64()) * sign(r.Float64()-0.5)
			}
		case "dead":
			rd.v[i] = f.Severity
		}
	}
}
