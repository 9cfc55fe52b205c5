package report

import (
	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

func f(v float64) *float64 { return &v }

func est(v, sd float64) *quantity.Estimate { return &quantity.Estimate{Value: v, SD: sd} }

func atLeast(v float64) *quantity.Estimate { return &quantity.Estimate{Value: v, LowerBound: true} }

// inventedSource is a pass with round numbers of our own, in a log whose clock
// steps by 1.8 s in the middle of second gear.
func inventedSource() Source {
	sheet := &car.Sheet{
		Name: "Plover", Units: "us", Fuel: "methanol",
		Notes:   []string{`plover.toml line 7: "mas_kg" in [body] is not a known key and was not read; the nearest known key is mass_kg.`},
		Assumed: []string{"cg_height_m: 0.45 taken"},
	}
	log := &logfile.Log{
		File: "plover_3.csv", SHA256: "00ff", Start: "2031-08-02T15:30:00",
		RowTime: []float64{0, 10, 40}, Notes: []string{"the last line was cut short and dropped."},
	}
	set := &dictionary.Set{
		Clock: trace.Clock{Segments: []trace.Segment{{FromRun: 0, Offset: 100}, {FromRun: 13, Offset: 101.8}}},
		Channels: []dictionary.Channel{
			{Name: "Motor", Quantity: quantity.EngineSpeed, Unit: "rpm", RateHz: 100, Confidence: 0.99,
				Trace: trace.Trace{T: []float64{0, 1}, V: []float64{100, 110}}},
			{Name: "Mix 2", Quantity: quantity.Lambda, Index: 2, Unit: "AFR gasoline", RateHz: 50, Confidence: 0.9, Problems: []string{"stuck from 112.1 s"},
				Trace: trace.Trace{T: []float64{0, 1}, V: []float64{0.8, 0.8}}},
			{Name: "Spare 1", Confidence: 0},
		},
	}
	p := &pass.Pass{
		Launch: *est(10, 0.01), Rollout: *est(10.3, 0.012), Finish: est(28.5, 0.011), Lift: f(28.9), Complete: true,
		Length: 804.672, TrapWindow: 20.1168, Trap: est(88.5, 0.04),
		Splits: []pass.Split{
			{Mark: "60 ft", Distance: 18.288, At: 12.4, Time: *est(2.1, 0.006), Speed: *est(12.5, 0.05)},
			{Mark: "1/4 mile", Distance: 402.336, At: 22.3, Time: *est(12.0, 0.007), Speed: *est(66.1, 0.04)},
			{Mark: "1/2 mile", Distance: 804.672, At: 28.5, Time: *est(18.2, 0.009), Speed: *est(89.0, 0.04)},
		},
		Motion: pass.Motion{Start: 10, Step: 10, X: []float64{0, 300, 900}, V: []float64{0, 55, 95}},
		Gears: []pass.GearSpan{
			{Gear: 1, Start: 9.9, End: 12.5, FullThrottle: []pass.Window{{From: 10.2, To: 11}, {From: 11.4, To: 12.4}},
				PeakHubTorque: est(5200, 60), MeanHubTorque: est(4600, 40), PeakWheelTorque: est(700, 9), MeanWheelTorque: est(637, 6),
				PeakSlip: est(0.31, 0.02), MeanSlip: est(0.12, 0.01), UsedGripMean: f(1.21),
				CeilingHubTorque: est(5043, 160), CeilingWheelTorque: est(698, 22), LimitedBy: "grip",
				MeanBoost: f(80e3), BoostTarget: f(82e3), Lambda: f(0.79), ShiftEngineSpeed: f(785)},
			{Gear: 2, Start: 12.8, End: 28.9, FullThrottle: []pass.Window{{From: 13, To: 28.5}},
				MeanHubTorque: est(3900, 35), MeanWheelTorque: est(820, 7), PeakSlip: est(0.06, 0.004),
				CeilingHubTorque: atLeast(4100), CeilingWheelTorque: atLeast(862), LimitedBy: "boost target",
				MeanBoost: f(190e3), Lambda: f(0.78)},
		},
		Shifts: []pass.Shift{{From: 1, To: 2, Start: *est(12.5, 0.02), End: *est(12.8, 0.01), BoostBefore: f(81e3), BoostMin: f(-60e3),
			BoostTarget: f(190e3), Recovery: est(0.42, 0.02), Missed: true}},
		Power: &pass.Power{PeakWheel: *est(811e3, 9e3), EngineSpeed: 790, At: 27.2, Gear: 2, FuelFlow: f(0.11)},
		Air:   &pass.Air{Density: *est(1.171, 0.004), DensityAltitude: 470, CorrectionJ1349: f(1.004), Temperature: 295, Pressure: 99.2e3, Humidity: 0.5, Source: "notes"},
		Fuel:  &pass.Fuel{Name: "methanol", Stoich: *est(6.46, 0.02), StoichSource: "fuel name"},
		Notes: []string{"the drag area stayed at the sheet's figure: the log cannot tell it."},
	}
	return Source{Log: log, Set: set, Sheet: sheet, Passes: []*pass.Pass{p}}
}
