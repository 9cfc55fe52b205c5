package forecast

import (
	"math"
	"slices"
)

// Score is what became of one recorded forecast.
type Score struct {
	Next     string  `json:"next"`
	Error    float64 `json:"error_mps"`          // m/s, forecast less truth
	Inside   bool    `json:"inside"`             // the truth lay within the 90 % interval
	CRPS     float64 `json:"crps_mps"`           // m/s
	PIT      float64 `json:"pit"`                // 0–1, share of the forecast below the truth
	Interval float64 `json:"interval_score_mps"` // m/s
}

// Scored is a forecast held against the pass that came, twice: as it was expected, and
// worked out again with the settings and the weather as they then were.
type Scored struct {
	Next     string  `json:"next"`
	Forecast string  `json:"forecast"`      // SHA-256 of the record of the forecast
	Pass     string  `json:"pass"`          // file and number of the pass
	Trap     float64 `json:"trap_mps"`      // m/s, what came
	SD       float64 `json:"sd_mps"`        // m/s, that the forecast gave
	Expected Score   `json:"expected"`      // as recorded
	AsRun    *Score  `json:"as_run"`        // with settings and weather as run; null when it could not be worked out
	AsRunSD  float64 `json:"as_run_sd_mps"` // m/s
}

// Find is the last forecast for a planned pass among records, nil when there is none,
// and whether it has been scored already.
func Find(records []Record, next string) (found *Record, scored bool) {
	for i := range records {
		r := &records[i]
		switch {
		case r.Next != next:
		case r.Forecast != nil:
			found, scored = r, false
		case r.Scored != nil && found != nil && r.Scored.Forecast == found.Hash:
			scored = true
		}
	}
	return found, scored
}

// TrackOf sums up the scores of a car among records: as expected, and as run. Widen of
// the second is what corrects later intervals: weather that came otherwise is not the
// model's fault.
func TrackOf(records []Record, car string) (expected, asRun Track) {
	var e, a []Score
	var esd, asd []float64
	stretched := map[string]float64{} // by hash of the forecast
	last := map[string]*Scored{}
	var order []string
	for _, r := range records {
		if f := r.Forecast; f != nil && f.Track != nil && f.Track.Widen > 0 {
			stretched[r.Hash] = f.Track.Widen
		}
		if r.Scored == nil || r.Car != car {
			continue
		}
		if last[r.Scored.Forecast] == nil {
			order = append(order, r.Scored.Forecast)
		}
		last[r.Scored.Forecast] = r.Scored // of several scores of one forecast the last counts
	}
	for _, h := range order {
		s := last[h]
		sd := s.SD
		if w := stretched[h]; w > 0 {
			sd /= w // what the track corrects is the model's own spread
		}
		e, esd = append(e, s.Expected), append(esd, sd)
		if s.AsRun != nil {
			a, asd = append(a, *s.AsRun), append(asd, s.AsRunSD)
		}
	}
	return Tracking(e, esd), Tracking(a, asd)
}

// ScoreResult scores a result against the trap speed that came, m/s.
func ScoreResult(r *Result, truth float64) Score {
	return ScoreRecord(&Record{Next: r.Next.ID, Forecast: r.Answer(), Draws: r.quantiles()}, truth)
}

// ScoreRecord scores a record against the trap speed that came, m/s.
func ScoreRecord(r *Record, truth float64) Score {
	t := r.Forecast.Trap
	s := Score{Next: r.Next, Error: t.Mean - truth, Inside: truth >= t.P05 && truth <= t.P95, Interval: IntervalScore(t.P05, t.P95, 0.1, truth)}
	if len(r.Draws) > 0 {
		s.CRPS = CRPSSample(r.Draws, truth)
		below := 0.0
		for _, q := range r.Draws {
			if q < truth {
				below++
			}
		}
		s.PIT = below / float64(len(r.Draws))
	} else if t.SD > 0 {
		s.CRPS, s.PIT = CRPSNormal(t.Mean, t.SD, truth), PITNormal(t.Mean, t.SD, truth)
	}
	return s
}

// Track is the record of several forecasts.
type Track struct {
	Count     int       `json:"count"`
	MeanError float64   `json:"mean_error_mps"` // m/s
	MedianAbs float64   `json:"median_abs_mps"` // m/s
	Coverage  float64   `json:"coverage"`       // 0–1, of the 90 % intervals
	CRPS      float64   `json:"crps_mps"`       // m/s, mean
	Reliable  []float64 `json:"reliability"`    // 0–1, share of truths below the forecasts' quantiles 0.1, 0.3, … 0.9
	// Widen is the factor, 1, by which intervals should be widened (or narrowed) in
	// the light of the record, shrunk to 1 as if by ten forecasts that were right.
	Widen float64 `json:"widen"`
}

// widenWorth is how many forecasts the belief in the intervals is worth.
const widenWorth = 10.0

// TrackLevels are the quantiles, 0–1, at which Track.Reliable is given.
func TrackLevels() []float64 { return []float64{0.1, 0.3, 0.5, 0.7, 0.9} }

// Tracking sums up scores; scaled errors are from the records' own standard
// deviations, m/s, in the same order.
func Tracking(scores []Score, sds []float64) Track {
	t := Track{Count: len(scores), Widen: 1}
	if len(scores) == 0 {
		return t
	}
	n := float64(len(scores))
	var abs []float64
	inside, z2 := 0.0, widenWorth
	levels := TrackLevels()
	t.Reliable = make([]float64, len(levels))
	for i, s := range scores {
		t.MeanError += s.Error / n
		t.CRPS += s.CRPS / n
		abs = append(abs, math.Abs(s.Error))
		if s.Inside {
			inside++
		}
		for k, l := range levels {
			if s.PIT < l {
				t.Reliable[k] += 1 / n
			}
		}
		if i < len(sds) && sds[i] > 0 {
			z := min(4, math.Abs(s.Error)/sds[i])
			z2 += z * z
		} else {
			z2++
		}
	}
	slices.Sort(abs)
	t.MedianAbs = abs[len(abs)/2]
	t.Coverage = inside / n
	t.Widen = math.Sqrt(z2 / (widenWorth + n))
	return t
}

func sortedReal(x []float64) []float64 {
	s := slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	slices.Sort(s)
	return s
}
