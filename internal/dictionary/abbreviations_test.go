package dictionary

import (
	"strings"
	"testing"

	"traplight/internal/quantity"
)

// TestAbbreviations reads names as terse loggers and tired people write them;
// like those of TestNames they were written down before they were tried.
func TestAbbreviations(t *testing.T) {
	for _, g := range []struct {
		q     quantity.Name
		index int
		names string
	}{
		{quantity.EngineSpeed, 0, "ERPM; MOTDREHZ; EngSpd; ENG_RPM; eng.n; Crankshaft revs; nMot; Rég. mot."},
		{quantity.Throttle, 0, "ThrPos; THROT; thr.pos; Butterfly opening; DK-Winkel; Pos. pap."},
		{quantity.ManifoldPressure, 0, "ManPrs; MAN_PRES; man.p; Plenum pressure; pSaug; P. coll. adm."},
		{quantity.ExhaustPressure, 0, "ExhPrs; EXH_PRES; exh.p; Pre-turbine pressure; pAbgas v. Turb.; P. avant turbine"},
		{quantity.BarometricPressure, 0, "BarPrs; BARO_PRES; amb.p; Outside air pressure; pUmg; P. atmo"},
		{quantity.IntakeTemperature, 0, "InAirTmp; AIR_TEMP; inl.t; Inlet temp; T-Ansaug; T. air adm."},
		{quantity.CoolantTemperature, 0, "CoolTmp; WATER_TEMP; cool.t; Water temp; T-Wasser; T. eau"},
		{quantity.CoolantPressure, 0, "CoolPrs; WATER_PRES; cool.p; Water system pressure; p-Wasser; P. eau"},
		{quantity.OilPressure, 0, "Motoröldr.; Öldr.; OilPrs; OIL_PRES; oil.p; Engine oil pressure; p-Öl; P. huile"},
		{quantity.OilTemperature, 0, "Sump temp; OilTmp; OIL_TEMP; oil.t; Engine oil temp; T-Öl; T. huile"},
		{quantity.FuelPressure, 0, "FuelPrs; FUEL_PRES; fuel.p; Fuel line pressure; p-Kraftst.; P. ess."},
		{quantity.InjectorDuty, 0, "Ciclo iny.; ESV Tastverh.; Einspritzv.-Tastverh.; InjDty; INJ_DC; inj.duty; ti-Duty; % inj."},
		{quantity.FuelFlow, 0, "FuelFlw; FUEL_FLOW; fuel.flow; Kraftst.-Verbr.; Conso ess."},
		{quantity.Lambda, 1, "Lmb1; LAMBDA_L; lam.1; Mixture left; Lambda li; Richesse 1"},
		{quantity.Lambda, 2, "Lmb2; LAMBDA_R; lam.2; Mixture right; Lambda re; Richesse 2"},
		{quantity.IgnitionAngle, 0, "IgnAng; IGN_ADV; ign.adv; Spark timing; ZW; Av. all."},
		{quantity.Knock, 1, "Knk1; KNOCK_L; knock.1; Detonation left; Klopf li; Cliquetis 1"},
		{quantity.Knock, 2, "Knk2; KNOCK_R; knock.2; Detonation right; Klopf re; Cliquetis 2"},
		{quantity.ExhaustTemperature, 0, "ExhTmp; EXH_TEMP; exh.t; Exhaust gas temp; T-Abgas; T. éch."},
		{quantity.ExhaustTemperature, 1, "ExhTmpB1; ExhTmp1; EXH_TEMP_L; EXH_TEMP_1; exh.t.1; exh.t.c1; Exhaust gas temp left; Exhaust gas temp #1; T-Abgas li; T-Abgas Z1; T. éch. G; T. éch. cyl. 1"},
		{quantity.ExhaustTemperature, 2, "ExhTmpB2; ExhTmp2; EXH_TEMP_R; EXH_TEMP_2; exh.t.2; exh.t.c2; Exhaust gas temp right; Exhaust gas temp #2; T-Abgas re; T-Abgas Z2; T. éch. cyl. 2"},
		{quantity.ExhaustTemperature, 3, "ExhTmp3; EXH_TEMP_3; exh.t.c3; Exhaust gas temp #3; T-Abgas Z3; T. éch. cyl. 3"},
		{quantity.CrankcasePressure, 0, "Blow-by pressure; Blow-by"},
		{quantity.TurboSpeed, 0, "T/C speed"},
		{quantity.WheelSpeedFL, 0, "WHLSPDFL; Radgeschw. vo.li.; Ruota ASX; WhlSpdFL; WHL_SPD_LF; whl.fl; Left front wheel; v-Rad VL; V. roue AVG"},
		{quantity.WheelSpeedFR, 0, "WhlSpdFR; WHL_SPD_RF; whl.fr; Right front wheel; v-Rad VR; V. roue AVD"},
		{quantity.WheelSpeedRL, 0, "WhlSpdRL; WHL_SPD_LR; whl.rl; Left rear wheel; v-Rad HL; V. roue ARG"},
		{quantity.WheelSpeedRR, 0, "WhlSpdRR; WHL_SPD_RR; whl.rr; Right rear wheel; v-Rad HR; V. roue ARD"},
		{quantity.AccelerationLong, 0, "AccLng; G_LONG; acc.x; Forward g; a-längs; Acc. long.; Gx"},
		{quantity.AccelerationLat, 0, "AccLat; G_LAT; acc.y; Side g; a-quer; Acc. lat.; Gy"},
		{quantity.GPSSpeed, 0, "GpsSpd; GPS_VEL; gps.v; Satellite speed; v-GPS; V. GPS"},
		{quantity.Latitude, 0, "GpsLat; GPS_LATITUDE; gps.lat; North position; GPS-Breite; Lat. GPS"},
		{quantity.Longitude, 0, "GpsLng; GPS_LONGITUDE; gps.lon; East position; GPS-Länge; Long. GPS"},
		{quantity.TurboSpeed, 0, "TrbSpd; TURBO_SPD; turbo.n; Turbo shaft revs; n-Turbo; Rég. turbo"},
		{quantity.CrankcasePressure, 0, "Crank P; Crank press; CRANK_P; CrkPrs; CRANKCASE_P; crankcase.p; Breather pressure; p-Kurbelgeh.; P. carter"},
		{quantity.CoolantPressure, 0, "ECP; ecp_kPa"},
		{quantity.CoolerWaterTemperature, 0, "ICWT; IC water T"},
		{quantity.CompressorInletPressure, 0, "CIP; Comp inlet P"},
		{quantity.CompressorOutletPressure, 0, "COP; CDP; Comp outlet P"},
		{quantity.CompressorOutletTemperature, 0, "COT; CDT; Comp outlet T"},
		{quantity.ExhaustTemperature, 0, "TIT; Turbine inlet T"},
		{quantity.ExhaustPressure, 0, "TIP; Turbine inlet P"},
		{quantity.Gear, 0, "GearPos; GEAR_NO; gear; Gear engaged; Gang; Rapport de boîte"},
		{quantity.BatteryVoltage, 0, "BatVlt; BATT_VOLT; bat.u; System volts; U-Batt; U batt."},
		{quantity.Nitrous, 0, "NosAct; N2O_ON; n2o; Nitrous valve; Lachgas ein; N2O actif"},
		{quantity.Brake, 0, "BrkPos; BRAKE_POS; brk.pos; Brake travel; Bremspedal; Pédale frein"},
		{quantity.WastegateDuty, 0, "WgtDty; WG_DC; wg.duty; Wastegate valve; LDR-Ventil; Cde wastegate"},
		{quantity.Clutch, 0, "CltPos; CLUTCH_POS; clutch.pos; Clutch travel; Kupplungsweg; Pédale embrayage"},
	} {
		for _, name := range strings.Split(g.names, "; ") {
			ws := splitName(name)
			if q, score := bestOf(readName(ws)); q != g.q || score < 0.4 {
				t.Errorf("%q is %s (%.2f), want %s; words %v", name, q, score, g.q, tell(ws))
			} else if i := indexOf(q, ws); i != g.index {
				t.Errorf("%q has index %d, want %d; words %v", name, i, g.index, tell(ws))
			}
		}
	}
}

// TestAmbiguousAbbreviations leaves unread what the trade uses for two things, so that
// the owner is asked: CWT is cooling water or the charge cooler's water, PTP pressure
// before the turbine, before the throttle or after it.
func TestAmbiguousAbbreviations(t *testing.T) {
	for _, name := range []string{"CWT", "cwt_C", "PTP", "ptp_kPa"} {
		if q, score := bestOf(readName(splitName(name))); q != "" && score >= unsure {
			t.Errorf("%q was taken for %s (%.2f)", name, q, score)
		}
	}
}
