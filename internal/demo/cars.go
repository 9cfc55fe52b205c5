package demo

// The demo's own shop, with cars of its own invention. They differ from one
// another in every respect that a method could come to lean on.
func shop() []spec {
	return []spec{
		{
			id: "chert", name: "Chert", text: "rear-drive, 4.7 V8, two turbos, four-speed dog box, gasoline",
			driven: rearDriven, cyl: 8, banks: 2, layout: "V8", litres: 4.7, rc: 9.6, fuel: gasoline(), turbos: 2, turboText: "two, equal",
			boostMax: 145, airPeak: 0.92, revLimit: 7400, idle: 1050, gears: []float64{2.02, 1.43, 1.12, 0.90}, final: 3.08,
			box: dogCut, shiftTime: 0.070, mass: 1540, cda: 0.66, clf: 0.02, clr: 0.06, wheelbase: 2.72, hcg: 0.50, wf: 0.53,
			r0: 0.346, mu: 1.50, stiff: 26, grow: 4.5e-6, pCold: 130, tyreSize: "28x11.5-17 drag radial",
			boost: []float64{48, 92, 138, 142}, shift: []float64{6800, 6900, 6900}, launch: 4000, launchBoost: 15, spring: 28,
			clutch: 1750, release: 0.75, lambda: 0.81, target: 88, dialect: "pipe", sensors: "full",
		},
		{
			id: "tuff", name: "Tuff", text: "all-wheel-drive, 2.6 inline-5, one large turbo, six-speed dog sequential, methanol",
			driven: allDriven, cyl: 5, banks: 1, layout: "inline-5", litres: 2.6, rc: 9.2, fuel: methanol(), turbos: 1, turboText: "large single",
			boostMax: 255, airPeak: 0.86, revLimit: 8600, idle: 1250, gears: []float64{2.70, 1.95, 1.52, 1.23, 1.02, 0.86}, final: 3.55,
			box: dogCut, shiftTime: 0.058, mass: 1395, cda: 0.70, clf: 0.05, clr: 0.10, wheelbase: 2.55, hcg: 0.49, wf: 0.585,
			r0: 0.318, mu: 1.42, stiff: 24, grow: 2.0e-6, pCold: 150, tyreSize: "265/40-17 semi-slick",
			boost: []float64{115, 185, 225, 245, 245, 245}, shift: []float64{8000, 8050, 8100, 8100, 8100}, launch: 5400, launchBoost: 60,
			clutch: 1500, release: 0.55, lambda: 0.74, target: 92, dialect: "iso", sensors: "full",
		},
		{
			id: "schist", name: "Schist", text: "front-drive, 1.9 inline-4, one turbo, six-speed synchro box, E40",
			driven: frontDriven, cyl: 4, banks: 1, layout: "inline-4", litres: 1.9, rc: 9.8, fuel: blend(0.40, "E40"), turbos: 1, turboText: "single",
			boostMax: 190, airPeak: 0.44, revLimit: 8200, idle: 980, gears: []float64{2.92, 2.05, 1.56, 1.22, 0.99, 0.82}, final: 3.68,
			box: synchroLift, shiftTime: 0.235, mass: 1085, cda: 0.58, clf: 0.03, clr: 0.05, wheelbase: 2.50, hcg: 0.47, wf: 0.63,
			r0: 0.299, mu: 1.38, stiff: 22, grow: 1.6e-6, pCold: 170, tyreSize: "225/45-16 semi-slick",
			boost: []float64{46, 74, 112, 150, 180, 180}, shift: []float64{7600, 7650, 7700, 7700, 7700}, launch: 4300, launchBoost: 25,
			clutch: 720, release: 0.9, throttleIn: 0.9, lambda: 0.83, target: 71, dialect: "short", sensors: "medium",
		},
		{
			id: "olivine", name: "Olivine", text: "rear-drive, 3.7 flat-6 behind the axle, two turbos, seven-speed paddle box, gasoline",
			driven: rearDriven, cyl: 6, banks: 2, layout: "flat-6", litres: 3.7, rc: 9.3, fuel: gasoline(), turbos: 2, turboText: "two, equal",
			boostMax: 160, airPeak: 0.80, revLimit: 7900, idle: 900, gears: []float64{3.40, 2.25, 1.66, 1.31, 1.08, 0.91, 0.78}, final: 3.30,
			box: paddleCut, shiftTime: 0.045, mass: 1495, cda: 0.62, clf: 0.08, clr: 0.16, wheelbase: 2.46, hcg: 0.47, wf: 0.395,
			r0: 0.340, mu: 1.44, stiff: 25, grow: 1.8e-6, pCold: 170, tyreSize: "305/35-19 semi-slick",
			boost: []float64{70, 105, 135, 150, 150, 150, 150}, shift: []float64{7200, 7250, 7300, 7300, 7300, 7300}, launch: 4600, launchBoost: 45,
			clutch: 1350, release: 0.5, slipCut: 0.16, absolute: true, lambda: 0.82, target: 86, dialect: "german", sensors: "full",
		},
		{
			id: "gneiss", name: "Gneiss", text: "rear-drive, 5.3 V8, one large turbo, five-speed synchro box with ignition cut, E60, nitrous",
			driven: rearDriven, cyl: 8, banks: 2, layout: "V8", litres: 5.3, rc: 9.4, fuel: blend(0.60, "E60"), turbos: 1, turboText: "large single",
			boostMax: 150, airPeak: 1.02, revLimit: 7000, idle: 950, gears: []float64{1.98, 1.50, 1.20, 1.00, 0.86}, final: 3.05,
			box: synchroFlat, shiftTime: 0.140, mass: 1610, cda: 0.72, clf: 0.01, clr: 0.03, wheelbase: 2.83, hcg: 0.52, wf: 0.55,
			r0: 0.352, mu: 1.48, stiff: 23, grow: 5.5e-6, pCold: 120, tyreSize: "29x12-17 drag radial",
			boost: []float64{32, 54, 84, 114, 138}, shift: []float64{6400, 6450, 6500, 6500}, launch: 3400, launchBoost: 10, spring: 22,
			clutch: 1900, release: 0.8, slipCut: 0, n2o: 0.06, lambda: 0.80, target: 90, dialect: "snake", sensors: "medium",
		},
		{
			id: "breccia", name: "Breccia", text: "all-wheel-drive, 2.5 flat-4, one turbo, five-speed synchro box, gasoline",
			driven: allDriven, cyl: 4, banks: 2, layout: "flat-4", litres: 2.5, rc: 9.0, fuel: gasoline(), turbos: 1, turboText: "single",
			boostMax: 175, airPeak: 0.50, revLimit: 7700, idle: 1000, gears: []float64{2.80, 1.88, 1.40, 1.10, 0.90}, final: 3.50,
			box: synchroLift, shiftTime: 0.255, mass: 1420, cda: 0.69, clf: 0.04, clr: 0.07, wheelbase: 2.58, hcg: 0.50, wf: 0.57,
			r0: 0.316, mu: 1.28, stiff: 21, grow: 1.4e-6, pCold: 200, tyreSize: "245/40-18 street",
			boost: []float64{110, 140, 160, 165, 165}, shift: []float64{7100, 7150, 7200, 7200}, launch: 4800, launchBoost: 55,
			clutch: 900, release: 0.5, lambda: 0.82, target: 74, dialect: "french", sensors: "poor",
		},
		{
			id: "marl", name: "Marl", text: "front-drive, 2.8 inline-6 across, one large turbo, four-speed dog box, methanol, nitrous",
			driven: frontDriven, cyl: 6, banks: 1, layout: "inline-6", litres: 2.8, rc: 9.0, fuel: methanol(), turbos: 1, turboText: "large single",
			boostMax: 265, airPeak: 0.93, revLimit: 8300, idle: 1200, gears: []float64{1.95, 1.48, 1.17, 0.95}, final: 3.20,
			box: dogCut, shiftTime: 0.075, mass: 1265, cda: 0.66, clf: 0.06, clr: 0.02, wheelbase: 2.66, hcg: 0.43, wf: 0.665,
			r0: 0.322, mu: 1.58, stiff: 27, grow: 4.0e-6, pCold: 140, tyreSize: "25.5x9.5-15 drag radial",
			boost: []float64{68, 104, 160, 235}, shift: []float64{7700, 7750, 7800}, launch: 4400, launchBoost: 20,
			clutch: 1500, release: 1.0, throttleIn: 0.6, n2o: 0.05, lambda: 0.73, target: 88.5, dialect: "clock", sensors: "full",
		},
	}
}
