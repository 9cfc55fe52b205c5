package demo

import "strings"

// columnNames gives, for each quantity, its column's name by language: english,
// snake, short, german, french, spanish, italian, dutch. An N stands for the
// number of a sensor or cylinder.
var columnNames = map[string][8]string{
	"rpm":                       {"Engine RPM", "eng_speed", "N eng", "Motordrehzahl", "Régime moteur", "Régimen motor", "Giri motore", "Toerental"},
	"throttle":                  {"Throttle angle", "thr_pos", "Thr", "Drosselklappenwinkel", "Position papillon", "Mariposa", "Farfalla", "Gasklep"},
	"pedal":                     {"Driver pedal", "pedal_pos", "Ped", "Fahrpedal", "Pédale accélérateur", "Pedal acelerador", "Pedale acceleratore", "Gaspedaal"},
	"map":                       {"Manifold absolute pressure", "map", "MAP", "Saugrohrdruck", "Pression collecteur admission", "Presión colector", "Pressione collettore", "Inlaatdruk"},
	"boost_target":              {"Boost target", "boost_tgt", "Bst tgt", "Ladedruck Soll", "Consigne suralimentation", "Objetivo soplado", "Obiettivo sovralimentazione", "Gewenste laaddruk"},
	"lambda_target":             {"Lambda target", "lam_tgt", "Lam tgt", "Lambda Soll", "Consigne lambda", "Objetivo lambda", "Obiettivo lambda", "Gewenste lambda"},
	"exhaust_manifold_pressure": {"Turbine inlet pressure", "turb_in_press", "EMP", "Abgasgegendruck", "Pression avant turbine", "Presión entrada turbina", "Pressione ingresso turbina", "Druk voor turbine"},
	"barometer":                 {"Ambient pressure", "baro", "Baro", "Umgebungsdruck", "Pression atmosphérique", "Presión atmosférica", "Pressione ambiente", "Luchtdruk"},
	"pre_throttle_pressure":     {"Pressure before throttle", "pre_thr_press", "PTP", "Druck vor Drosselklappe", "Pression avant papillon", "Presión antes mariposa", "Pressione monte farfalla", "Druk voor gasklep"},
	"compressor_inlet_pressure": {"Compressor inlet pressure", "comp_in_press", "CIP", "Druck vor Verdichter", "Pression entrée compresseur", "Presión entrada compresor", "Pressione ingresso compressore", "Druk voor compressor"},
	"intake_temp":               {"Charge air temperature", "charge_temp", "IAT", "Ladelufttemperatur", "Température air admission", "Temperatura aire admisión", "Temperatura aria aspirata", "Inlaatluchttemperatuur"},
	"compressor_out_temp":       {"Compressor outlet temperature", "comp_out_temp", "COT", "Temperatur nach Verdichter", "Température sortie compresseur", "Temperatura salida compresor", "Temperatura uscita compressore", "Temperatuur na compressor"},
	"cooler_water_temp":         {"Cooler water temperature", "cooler_water_temp", "CWT", "Ladeluftkühlerwasser", "Eau échangeur", "Agua del enfriador", "Acqua intercooler", "Koelwater intercooler"},
	"coolant_temp":              {"Water temperature", "coolant_temp", "ECT", "Wassertemperatur", "Température eau", "Temperatura refrigerante", "Temperatura acqua", "Koelvloeistoftemperatuur"},
	"coolant_pressure":          {"Water pressure", "coolant_press", "ECP", "Wasserdruck", "Pression d'eau", "Presión refrigerante", "Pressione acqua", "Koelvloeistofdruk"},
	"oil_pressure":              {"Oil pressure", "oil_press", "Oil P", "Öldruck", "Pression d'huile", "Presión de aceite", "Pressione olio", "Oliedruk"},
	"oil_temp":                  {"Oil temperature", "oil_temp", "Oil T", "Öltemperatur", "Température d'huile", "Temperatura de aceite", "Temperatura olio", "Olietemperatuur"},
	"fuel_pressure":             {"Fuel pressure", "fuel_press", "Fuel P", "Kraftstoffdruck", "Pression carburant", "Presión de combustible", "Pressione carburante", "Brandstofdruk"},
	"fuel_flow":                 {"Fuel flow", "fuel_flow", "Fuel fl", "Kraftstoffdurchfluss", "Débit carburant", "Caudal de combustible", "Portata carburante", "Brandstofstroom"},
	"injector_duty":             {"Injector duty cycle", "inj_duty", "IDC", "Einspritztastverhältnis", "Taux d'ouverture injecteurs", "Ciclo inyectores", "Duty iniettori", "Inspuitduur"},
	"lambda_1":                  {"Lambda 1", "lambda_1", "O2 1", "Lambda 1", "Lambda 1", "Lambda 1", "Lambda 1", "Lambda 1"},
	"lambda_2":                  {"Lambda 2", "lambda_2", "O2 2", "Lambda 2", "Lambda 2", "Lambda 2", "Lambda 2", "Lambda 2"},
	"ignition_angle":            {"Ignition advance", "ign_adv", "Ign", "Zündwinkel", "Avance allumage", "Avance encendido", "Anticipo accensione", "Ontstekingshoek"},
	"knock_N":                   {"Knock level N", "knock_N", "Kn N", "Klopfen N", "Cliquetis N", "Picado N", "Detonazione N", "Pingelen N"},
	"egt_N":                     {"Exhaust gas temperature N", "egt_N", "EGT N", "Abgastemperatur N", "Température échappement N", "Temperatura escape N", "Temperatura scarico N", "Uitlaattemperatuur N"},
	"egt_b1":                    {"Exhaust gas temperature left", "egt_left", "EGT L", "Abgastemperatur links", "Température échappement gauche", "Temperatura escape izquierda", "Temperatura scarico sinistra", "Uitlaattemperatuur links"},
	"egt_b2":                    {"Exhaust gas temperature right", "egt_right", "EGT R", "Abgastemperatur rechts", "Température échappement droite", "Temperatura escape derecha", "Temperatura scarico destra", "Uitlaattemperatuur rechts"},
	"egt_all":                   {"Exhaust gas temperature", "egt", "EGT", "Abgastemperatur", "Température échappement", "Temperatura escape", "Temperatura scarico", "Uitlaattemperatuur"},
	"wheel_fl":                  {"Wheel FL", "ws_fl", "Whl FL", "Raddrehzahl VL", "Vitesse roue AVG", "Rueda DI", "Ruota AS", "Wielsnelheid LV"},
	"wheel_fr":                  {"Wheel FR", "ws_fr", "Whl FR", "Raddrehzahl VR", "Vitesse roue AVD", "Rueda DD", "Ruota AD", "Wielsnelheid RV"},
	"wheel_rl":                  {"Wheel RL", "ws_rl", "Whl RL", "Raddrehzahl HL", "Vitesse roue ARG", "Rueda TI", "Ruota PS", "Wielsnelheid LA"},
	"wheel_rr":                  {"Wheel RR", "ws_rr", "Whl RR", "Raddrehzahl HR", "Vitesse roue ARD", "Rueda TD", "Ruota PD", "Wielsnelheid RA"},
	"accel_long":                {"Acceleration longitudinal", "accel_x", "Gx", "Längsbeschleunigung", "Accélération longitudinale", "Aceleración longitudinal", "Accelerazione longitudinale", "Langsversnelling"},
	"accel_lat":                 {"Acceleration lateral", "accel_y", "Gy", "Querbeschleunigung", "Accélération latérale", "Aceleración lateral", "Accelerazione laterale", "Dwarsversnelling"},
	"gps_speed":                 {"Satellite speed", "gnss_speed", "GPS V", "Satellitengeschwindigkeit", "Vitesse satellite", "Velocidad GPS", "Velocità GPS", "GPS snelheid"},
	"gps_lat":                   {"Latitude", "gnss_lat", "GPS lat", "Breitengrad", "Latitude", "Latitud", "Latitudine", "Breedtegraad"},
	"gps_lon":                   {"Longitude", "gnss_lon", "GPS lon", "Längengrad", "Longitude", "Longitud", "Longitudine", "Lengtegraad"},
	"turbo_rpm":                 {"Turbo speed", "turbo_n", "N turbo", "Laderdrehzahl", "Régime turbo", "Régimen turbo", "Giri turbina", "Turbotoerental"},
	"crankcase_pressure":        {"Crankcase pressure", "crankcase_press", "Crank P", "Kurbelgehäusedruck", "Pression carter", "Presión cárter", "Pressione basamento", "Carterdruk"},
	"clutch_pedal":              {"Clutch pedal", "clutch_pos", "Clu", "Kupplungspedal", "Pédale embrayage", "Pedal embrague", "Pedale frizione", "Koppelingspedaal"},
	"wastegate":                 {"Wastegate duty", "wg_duty", "WG", "Ladedrucksteller", "Commande décharge", "Válvula de descarga", "Duty wastegate", "Wastegate"},
	"torque_cut":                {"Torque cut", "torque_cut", "Cut", "Momenteneingriff", "Coupure couple", "Corte de par", "Taglio coppia", "Koppelreductie"},
	"tyre_pressure":             {"Tyre pressure driven", "tyre_press", "Tyre P", "Reifendruck", "Pression pneu", "Presión neumático", "Pressione pneumatico", "Bandenspanning"},
	"gearbox_temp":              {"Gearbox temperature", "gbox_temp", "Gbx T", "Getriebetemperatur", "Température boîte", "Temperatura caja", "Temperatura cambio", "Versnellingsbaktemperatuur"},
	"fuel_trim_1":               {"Fuel trim", "fuel_trim", "Trim", "Gemischkorrektur", "Correction richesse", "Corrección mezcla", "Correzione miscela", "Mengselcorrectie"},
	"ethanol_fraction":          {"Ethanol content", "ethanol", "Eth", "Ethanolanteil", "Teneur éthanol", "Contenido etanol", "Contenuto etanolo", "Ethanolgehalte"},
	"nitrous_on":                {"Nitrous solenoid", "n2o_on", "N2O", "Lachgas aktiv", "Protoxyde actif", "Óxido nitroso activo", "Protossido attivo", "Lachgas actief"},
	"bottle_pressure":           {"Nitrous bottle pressure", "n2o_bottle_press", "N2O P", "Flaschendruck", "Pression bouteille", "Presión botella", "Pressione bombola", "Flesdruk"},
	"gear":                      {"Gear position", "gear", "Gear", "Gang", "Rapport engagé", "Marcha", "Marcia", "Versnelling"},
	"battery_voltage":           {"Battery voltage", "batt", "V bat", "Batteriespannung", "Tension batterie", "Tensión batería", "Tensione batteria", "Accuspanning"},
	"brake":                     {"Brake pedal", "brake_pos", "Brk", "Bremspedal", "Pédale frein", "Pedal freno", "Pedale freno", "Rempedaal"},
}

var languages = [8]string{"english", "snake", "short", "german", "french", "spanish", "italian", "dutch"}

func columnName(q, language string) string {
	k, num := q, ""
	if i := strings.LastIndexByte(q, '_'); i > 0 && (strings.HasPrefix(q, "knock_") || strings.HasPrefix(q, "egt_")) {
		if d := q[i+1:]; d[0] >= '0' && d[0] <= '9' {
			k, num = q[:i]+"_N", d
		}
	}
	for i, l := range languages {
		if l == language {
			return strings.Replace(columnNames[k][i], "N", num, len(num))
		}
	}
	return q
}
