package tyre

import "strings"

// loadIndex holds the load, kg, of indices 60 to 130.
var loadIndex = [...]float64{
	250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425, 437,
	450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775,
	800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360,
	1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850, 1900,
}

// IndexLoad returns the load that one tyre of a load index may carry, kg, for
// indices 60 to 130 (ISO 4000-1, ECE R30 annex 4); ok is false for others.
func IndexLoad(index int) (load float64, ok bool) {
	if index < 60 || index >= 60+len(loadIndex) {
		return 0, false
	}
	return loadIndex[index-60], true
}

// symbolKmh holds the speed of each symbol, km/h.
var symbolKmh = map[string]float64{
	"L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240, "W": 270, "Y": 300,
}

// SymbolSpeed returns the speed up to which a tyre of that speed symbol may be
// used, m/s (ISO 4000-1, ECE R30 annex 4). For "(Y)" it is that of Y: beyond it only
// the maker's written statement counts, and beyond tells so. ok is false for an unknown
// symbol; "ZR" alone gives 240 km/h and beyond.
func SymbolSpeed(symbol string) (v float64, beyond, ok bool) {
	s := strings.ToUpper(strings.TrimSpace(symbol))
	switch s {
	case "(Y)":
		return symbolKmh["Y"] / 3.6, true, true
	case "ZR":
		return 240 / 3.6, true, true
	}
	kmh, ok := symbolKmh[s]
	return kmh / 3.6, false, ok
}

// SpeedLoadShare returns the share of the index load, 0–1, that a tyre of symbol V,
// W or Y may carry at speed v, m/s: full up to one step below the symbol's speed,
// then falling linearly to 91 % (V at 240 km/h) or 85 % (W at 270, Y at 300 km/h).
// It is 1 for slower symbols up to their speed and 0 beyond a symbol's speed: there
// only the maker's statement counts. (V and W from published tables, Y from memory.)
func SpeedLoadShare(symbol string, v float64) float64 {
	limit, _, ok := SymbolSpeed(symbol)
	if !ok || v > limit+1e-9 {
		return 0
	}
	kmh := v * 3.6
	fall := func(from, to, share float64) float64 {
		if kmh <= from {
			return 1
		}
		return 1 - (1-share)*(kmh-from)/(to-from)
	}
	switch strings.Trim(strings.ToUpper(symbol), "() ") {
	case "V":
		return fall(210, 240, 0.91)
	case "W":
		return fall(240, 270, 0.85)
	case "Y":
		return fall(270, 300, 0.85)
	}
	return 1
}
