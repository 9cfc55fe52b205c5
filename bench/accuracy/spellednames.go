package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// spelledNames are other words and other spellings of them.
var spelledNames = func() []spelling {
	var out []spelling
	for _, l := range []string{"english", "german", "french", "spanish", "italian", "portuguese", "dutch", "swedish", "polish", "czech", "finnish", "japanese", "terse"} {
		out = append(out, spelling{name: "names: " + l, change: func(d *draft) { d.call(otherNames[l]) }})
	}
	for l, names := range shortNames {
		out = append(out, spelling{name: "names: " + l, change: func(d *draft) { d.call(names) }})
	}
	styled := func(name string, f func(n string) string) {
		wish := ""
		if slices.Contains(lossyNames, name) {
			wish = "less"
		}
		out = append(out, spelling{name: "names: " + name, wish: wish, change: func(d *draft) { d.named(f) }})
	}
	styled("capitals", strings.ToUpper)
	styled("small", strings.ToLower)
	styled("camel case", camel)
	styled("snake case", func(n string) string { return strings.ReplaceAll(strings.ToLower(n), " ", "_") })
	styled("no blanks", func(n string) string { return strings.ReplaceAll(n, " ", "") })
	styled("capitals, no blanks", func(n string) string { return strings.ToUpper(strings.ReplaceAll(n, " ", "")) })
	styled("dots", func(n string) string { return strings.ReplaceAll(n, " ", ".") })
	styled("hyphens", func(n string) string { return strings.ReplaceAll(n, " ", "-") })
	styled("path of a group", func(n string) string { return "Engine/" + n })
	styled("group, dot", func(n string) string { return "Chassis." + n })
	styled("two groups, colon", func(n string) string { return "Log:Main:" + n })
	styled("backslashes", func(n string) string { return `Logger\Inputs\` + n })
	styled("device in brackets before", func(n string) string { return "[Box 1] " + n })
	styled("device behind", func(n string) string { return n + " (main box)" })
	styled("_raw", func(n string) string { return strings.ReplaceAll(n, " ", "_") + "_raw" })
	styled("_filtered", func(n string) string { return n + " filtered" })
	styled("corrected", func(n string) string { return n + " (corr)" })
	styled("value", func(n string) string { return n + " value" })
	styled("actual", func(n string) string { return n + " actual" })
	styled("sensor", func(n string) string { return n + " sensor" })
	styled("avg", func(n string) string { return "Avg " + n })
	styled("ch_", func(n string) string { return "ch_" + strings.ReplaceAll(n, " ", "_") })
	styled("sixteen letters", func(n string) string { return cutName(n, 16) })
	styled("twelve letters", func(n string) string { return cutName(n, 12) })
	i := 0
	styled("numbers before", func(n string) string { i++; return fmt.Sprintf("%02d %s", i%60, n) })
	styled("CAN prefix", func(n string) string { return "CAN2 " + n })
	out = append(out, spelling{name: "names: none that say anything", wish: "less", change: func(d *draft) {
		for i := range d.Columns {
			d.Columns[i].Name = fmt.Sprintf("Channel %d", i+1)
		}
	}})
	out = append(out, spelling{name: "names: none that say anything, no units", wish: "less", change: func(d *draft) {
		for i := range d.Columns {
			d.Columns[i].Name, d.Columns[i].Unit = fmt.Sprintf("AN%02d", i+1), ""
		}
	}})
	return out
}()

// lossyNames no longer say all: a side is lost, or a switch called raw is none.
var lossyNames = []string{"sixteen letters", "twelve letters", "_raw", "corrected", "no blanks", "capitals, no blanks"}

func cutName(n string, k int) string {
	r := []rune(n)
	// The side at the end stays, or columns could not be told apart.
	last := n[strings.LastIndexByte(n, ' ')+1:]
	if len(r) <= k || k <= len(last)+1 || len(r) <= k-len(last)-1 {
		return n
	}
	return strings.TrimSpace(string(r[:k-len(last)-1])) + " " + last
}

func camel(n string) string {
	words := strings.Fields(n)
	for i, w := range words {
		r := []rune(w)
		r[0] = unicode.ToUpper(r[0])
		words[i] = string(r)
	}
	return strings.Join(words, "")
}

// shortNames are abbreviations that people type.
var shortNames = map[string]map[string]string{
	"short, of letters": {
		"rpm": "RPM", "throttle": "TPS", "map": "MAP", "exhaust_manifold_pressure": "EMAP", "barometer": "BARO", "intake_temp": "IAT",
		"coolant_temp": "CLT", "coolant_pressure": "CP", "oil_pressure": "OP", "oil_temp": "OT", "fuel_pressure": "FP", "injector_duty": "IDC",
		"fuel_flow": "FF", "lambda_1": "LAM1", "lambda_2": "LAM2", "ignition_angle": "IGN", "knock_1": "KNK1", "knock_2": "KNK2",
		"egt_all": "EGT", "egt_b1": "EGT1", "egt_b2": "EGT2", "egt_1": "EGT1", "egt_2": "EGT2", "egt_3": "EGT3",
		"wheel_fl": "WSFL", "wheel_fr": "WSFR", "wheel_rl": "WSRL", "wheel_rr": "WSRR", "accel_long": "ALONG", "accel_lat": "ALAT",
		"gps_speed": "GPSSPD", "gps_lat": "LAT", "gps_lon": "LON", "turbo_rpm": "TRPM", "crankcase_pressure": "CCP", "gear": "GEAR",
		"battery_voltage": "VBAT", "nitrous_on": "NOS", "brake": "BRK", "wastegate": "WGDC", "clutch_pedal": "CLU",
	},
	"short, of words": {
		"rpm": "Eng RPM", "throttle": "Thr pos", "map": "Man press", "exhaust_manifold_pressure": "Exh press", "barometer": "Baro press", "intake_temp": "Air tmp",
		"coolant_temp": "Cool tmp", "coolant_pressure": "Cool prs", "oil_pressure": "Oil prs", "oil_temp": "Oil tmp", "fuel_pressure": "Fuel prs", "injector_duty": "Inj DC",
		"fuel_flow": "Fuel fl", "lambda_1": "Lam 1", "lambda_2": "Lam 2", "ignition_angle": "Ign adv", "knock_1": "Knk 1", "knock_2": "Knk 2",
		"egt_all": "Exh tmp", "egt_b1": "Exh tmp 1", "egt_b2": "Exh tmp 2", "egt_1": "Exh tmp 1", "egt_2": "Exh tmp 2", "egt_3": "Exh tmp 3",
		"wheel_fl": "Whl FL", "wheel_fr": "Whl FR", "wheel_rl": "Whl RL", "wheel_rr": "Whl RR", "accel_long": "Acc long", "accel_lat": "Acc lat",
		"gps_speed": "GPS vel", "gps_lat": "GPS lat", "gps_lon": "GPS long", "turbo_rpm": "Trb spd", "crankcase_pressure": "Crkcase prs", "gear": "Gr",
		"battery_voltage": "Batt V", "nitrous_on": "N2O", "brake": "Brk", "wastegate": "Wgate", "clutch_pedal": "Clutch",
	},
	"German, short": {
		"rpm": "n_Mot", "throttle": "DK-Stellg", "map": "p_Saug", "exhaust_manifold_pressure": "p_Abgas", "barometer": "p_Umg", "intake_temp": "T_Ansaug",
		"coolant_temp": "T_KW", "coolant_pressure": "p_KW", "oil_pressure": "p_Öl", "oil_temp": "T_Öl", "fuel_pressure": "p_Kraftst", "injector_duty": "TV_Einspr",
		"fuel_flow": "Kraftst.-Durchfl.", "lambda_1": "Lambda 1", "lambda_2": "Lambda 2", "ignition_angle": "ZZP", "knock_1": "Klopf 1", "knock_2": "Klopf 2",
		"egt_all": "T_Abgas", "egt_b1": "T_Abgas 1", "egt_b2": "T_Abgas 2", "egt_1": "T_Abgas 1", "egt_2": "T_Abgas 2", "egt_3": "T_Abgas 3",
		"wheel_fl": "v_Rad_VL", "wheel_fr": "v_Rad_VR", "wheel_rl": "v_Rad_HL", "wheel_rr": "v_Rad_HR", "accel_long": "a_längs", "accel_lat": "a_quer",
		"gps_speed": "v_GPS", "gps_lat": "GPS Breite", "gps_lon": "GPS Länge", "turbo_rpm": "n_Lader", "crankcase_pressure": "p_Kurbelgeh", "gear": "Gang",
		"battery_voltage": "U_Bat", "nitrous_on": "Lachgas", "brake": "Bremse", "wastegate": "LDR-TV", "clutch_pedal": "Kuppl",
	},
	"American trade": {
		"rpm": "Engine RPM", "throttle": "Throttle %", "map": "Boost/MAP", "exhaust_manifold_pressure": "Turbine drive pressure", "barometer": "Baro", "intake_temp": "Intake temp",
		"coolant_temp": "Water temp", "coolant_pressure": "Water pressure", "oil_pressure": "Oil PSI", "oil_temp": "Oil temp", "fuel_pressure": "Fuel PSI", "injector_duty": "Injector duty cycle",
		"fuel_flow": "Fuel flow rate", "lambda_1": "O2 bank 1", "lambda_2": "O2 bank 2", "ignition_angle": "Timing", "knock_1": "Knock 1", "knock_2": "Knock 2",
		"egt_all": "EGT", "egt_b1": "EGT bank 1", "egt_b2": "EGT bank 2", "egt_1": "EGT cyl 1", "egt_2": "EGT cyl 2", "egt_3": "EGT cyl 3",
		"wheel_fl": "LF wheel speed", "wheel_fr": "RF wheel speed", "wheel_rl": "LR wheel speed", "wheel_rr": "RR wheel speed", "accel_long": "G force accel", "accel_lat": "G force lateral",
		"gps_speed": "GPS MPH", "gps_lat": "Lat", "gps_lon": "Long", "turbo_rpm": "Turbo shaft RPM", "crankcase_pressure": "Pan vacuum", "gear": "Current gear",
		"battery_voltage": "Battery volts", "nitrous_on": "Nitrous solenoid", "brake": "Brake switch", "wastegate": "Boost solenoid duty", "clutch_pedal": "Clutch switch",
	},
}
