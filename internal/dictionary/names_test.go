package dictionary

import (
	"testing"

	"traplight/internal/quantity"
)

// TestNames reads names alone, without unit and samples. They were written down
// from knowledge of the languages and of common abbreviations, not from the
// lexicon.
func TestNames(t *testing.T) {
	for _, g := range []struct {
		q     quantity.Name
		index int
		names []string
	}{
		{quantity.EngineSpeed, 0, []string{"RPM", "Engine RPM", "EngineSpeed", "engine_speed", "Motordrehzahl", "Drehzahl Motor", "Régime moteur", "Revoluciones del motor", "RPM motor", "Giri motore", "Rotações do motor", "Toerental", "Motortoerental", "Varvtal", "Motorvarvtal", "Obroty silnika", "Otáčky motoru", "エンジン回転数", "Engine kaitensu", "Обороты двигателя", "Motor Drehzahl", "Régimen motor", "Rotação", "Omdrejningstal", "Moottorin kierrosluku", "n_mot", "Tacho"}},
		{quantity.Throttle, 0, []string{"TPS", "Throttle", "Throttle position", "throttle_pos", "ThrottlePosition", "Drosselklappe", "Drosselklappenstellung", "Drosselklappenwinkel", "Papillon", "Position papillon", "Mariposa", "Posición mariposa", "Farfalla", "Posizione farfalla", "Borboleta", "Posição borboleta", "Gasklep", "Gasspjäll", "Przepustnica", "Škrticí klapka", "スロットル開度", "Throttle kaido", "Положение дросселя", "Thr pos", "ETB position"}},
		{quantity.Pedal, 0, []string{"Pedal", "Accelerator pedal", "Accel pedal position", "APP", "Fahrpedal", "Gaspedal", "Pédale d'accélérateur", "Pedal acelerador", "Pedale acceleratore", "Gaspedaal", "Pedał gazu", "Plynový pedál", "アクセル開度"}},
		{quantity.ManifoldPressure, 0, []string{"MAP", "Manifold pressure", "Manifold Absolute Pressure", "Boost", "Boost pressure", "Saugrohrdruck", "Ladedruck", "Pression collecteur", "Pression admission", "Pression de suralimentation", "Suralimentation", "Presión colector", "Presión de admisión", "Presión turbo", "Pressione collettore", "Pressione aspirazione", "Pressione turbo", "Pressão coletor", "Pressão de admissão", "Pressão do turbo", "Inlaatdruk", "Laaddruk", "Turbodruk", "Laddtryck", "Insugstryck", "Ciśnienie doładowania", "Ciśnienie w kolektorze", "Plnicí tlak", "Tlak v sání", "インマニ圧", "ブースト圧", "Давление наддува", "Ahtopaine", "manifold_press", "MAP sensor", "boost_psi"}},
		{quantity.ExhaustPressure, 0, []string{"Exhaust manifold pressure", "EMAP", "Exhaust back pressure", "Exhaust pressure", "Turbine inlet pressure", "Abgasgegendruck", "Abgasdruck vor Turbine", "Contre-pression échappement", "Pression échappement", "Contrapresión de escape", "Pressione scarico", "Pressão de escape", "Uitlaatdruk", "Avgastryck", "Ciśnienie spalin", "Tlak výfuku", "排気圧", "Backpressure"}},
		{quantity.BarometricPressure, 0, []string{"Baro", "Barometric pressure", "Barometer", "Ambient pressure", "Atmospheric pressure", "Luftdruck", "Umgebungsdruck", "Pression atmosphérique", "Presión atmosférica", "Presión barométrica", "Pressione atmosferica", "Pressão atmosférica", "Luchtdruk", "Lufttryck", "Ciśnienie atmosferyczne", "Atmosférický tlak", "大気圧", "Атмосферное давление"}},
		{quantity.FuelPressure, 0, []string{"Fuel pressure", "Fuel P", "Fuel rail pressure", "FuelPress", "Kraftstoffdruck", "Benzindruck", "Raildruck", "Pression essence", "Pression carburant", "Pression de rampe", "Presión de combustible", "Presión gasolina", "Pressione carburante", "Pressione benzina", "Pressão de combustível", "Brandstofdruk", "Benzinedruk", "Bränsletryck", "Ciśnienie paliwa", "Tlak paliva", "燃圧", "燃料圧力", "Давление топлива", "rail_press"}},
		{quantity.OilPressure, 0, []string{"Oil pressure", "Oil P", "OilPress", "Öldruck", "Oeldruck", "Motoröldruck", "Pression huile", "Pression d'huile", "Presión de aceite", "Pressione olio", "Pressão do óleo", "Oliedruk", "Oljetryck", "Ciśnienie oleju", "Tlak oleje", "油圧", "Давление масла", "Öljynpaine"}},
		{quantity.CoolantPressure, 0, []string{"Coolant pressure", "Water pressure", "Kühlmitteldruck", "Kühlwasserdruck", "Pression eau", "Presión refrigerante", "Pressione acqua", "Pressão da água", "Koelwaterdruk", "Kylvattentryck", "Ciśnienie wody", "Tlak vody"}},
		{quantity.CrankcasePressure, 0, []string{"Crankcase pressure", "Crank case press", "Kurbelgehäusedruck", "Pression carter", "Presión cárter", "Pressione basamento", "Carterdruk", "Vevhustryck"}},
		{quantity.IntakeTemperature, 0, []string{"IAT", "Intake air temp", "Intake temperature", "Inlet air temp", "MAT", "Ansauglufttemperatur", "Ansaugtemperatur", "Temp. air admission", "Température d'admission", "Temperatura admisión", "Temperatura aire admisión", "Temperatura aria aspirata", "Temperatura aspirazione", "Temperatura ar admissão", "Inlaatluchttemperatuur", "Insugstemp", "Temperatura powietrza dolotowego", "Teplota nasávaného vzduchu", "吸気温", "吸気温度", "Температура впуска"}},
		{quantity.ChargeTemperature, 0, []string{"Charge temp", "Charge air temperature", "Ladelufttemperatur", "Temp after intercooler", "Post intercooler temp", "Ladeluft Temp"}},
		{quantity.CoolantTemperature, 0, []string{"CLT", "ECT", "Coolant temp", "Engine coolant temperature", "Water temp", "WaterTemp", "Kühlmitteltemperatur", "Kuehlmitteltemperatur", "Wassertemperatur", "Kühlwassertemp", "Temp. eau", "Température liquide de refroidissement", "Temperatura refrigerante", "Temperatura del agua", "Temperatura acqua", "Temperatura liquido raffreddamento", "Temperatura da água", "Temperatura arrefecimento", "Koelwatertemperatuur", "Kylvattentemp", "Temperatura płynu chłodzącego", "Teplota chladicí kapaliny", "Teplota vody", "水温", "冷却水温度", "Температура охлаждающей жидкости"}},
		{quantity.OilTemperature, 0, []string{"Oil temp", "Engine oil temperature", "EOT", "Öltemperatur", "Temp. huile", "Temperatura aceite", "Temperatura olio", "Temperatura do óleo", "Olietemperatuur", "Oljetemp", "Temperatura oleju", "Teplota oleje", "油温", "Температура масла"}},
		{quantity.GearboxTemperature, 0, []string{"Gearbox temp", "Transmission temperature", "Gearbox oil temp", "Getriebetemperatur", "Getriebeöltemperatur", "Temp. boîte", "Temperatura cambio", "Temperatuur versnellingsbak"}},
		{quantity.FuelTemperature, 0, []string{"Fuel temp", "Kraftstofftemperatur", "Temp. essence", "Temperatura combustible", "Temperatura carburante", "Brandstoftemperatuur"}},
		{quantity.AmbientTemperature, 0, []string{"Ambient temp", "Outside air temperature", "Außentemperatur", "Umgebungstemperatur", "Température extérieure", "Temperatura ambiente", "Temperatura esterna", "Buitentemperatuur", "Temperatura zewnętrzna", "Venkovní teplota", "外気温"}},
		{quantity.ExhaustTemperature, 1, []string{"EGT1", "EGT 1", "Exhaust temp bank 1", "Exhaust gas temperature cyl 1", "Abgastemperatur 1", "Temp. échappement G", "Temperatura escape 1", "Temperatura gas di scarico 1", "Temperatura scarico 1", "Uitlaatgastemperatuur 1", "Avgastemp 1", "Temperatura spalin 1", "Teplota výfukových plynů 1", "排気温度1", "egt_1", "Exhaust temp left"}},
		{quantity.ExhaustTemperature, 4, []string{"EGT4", "Abgastemp. Zyl. 4", "Exhaust gas temp cylinder 4", "egt_cyl4"}},
		{quantity.Lambda, 2, []string{"Lambda 2", "Lambda bank 2", "AFR2", "AFR 2", "Wideband 2", "Rapport air-essence 2", "Rapport air carburant 2", "lambda_b", "Air/Fuel ratio 2", "Relación aire combustible 2", "Rapporto aria benzina 2", "Sonde lambda 2", "空燃比2", "Lambda Bank2", "A/F 2"}},
		{quantity.Lambda, 0, []string{"Lambda", "AFR", "Air fuel ratio", "Wideband O2", "Lambdasonde", "Lambdawert", "Sonda lambda", "空燃比", "Лямбда"}},
		{quantity.LambdaTarget, 0, []string{"Lambda target", "AFR target", "Target AFR", "Lambda Soll", "Lambda consigne", "Lambda objetivo", "Gewenste lambda", "Lambda desiderata"}},
		{quantity.BoostTarget, 0, []string{"Boost target", "Target boost", "Boost pressure setpoint", "Ladedruck Soll", "Sollladedruck", "Consigne suralimentation", "Laaddruk doel", "Gewenste laaddruk", "Önskat laddtryck", "目標ブースト圧"}},
		{quantity.IgnitionAngle, 0, []string{"Ignition angle", "Ignition advance", "Spark advance", "Spark", "Timing advance", "Ign timing", "Zündwinkel", "Zündzeitpunkt", "Avance à l'allumage", "Avance", "Avance de encendido", "Anticipo accensione", "Avanço de ignição", "Ontstekingstijdstip", "Tändning", "Tändvinkel", "Kąt wyprzedzenia zapłonu", "Předstih", "Předstih zapalování", "点火時期", "Угол опережения зажигания", "ign_advance"}},
		{quantity.Knock, 1, []string{"Knock1", "Knock sensor 1", "Klopfsignal 1", "Knock front", "Cliquetis 1", "Knock bank A", "ノック1"}},
		{quantity.InjectorDuty, 0, []string{"Inj duty", "Injector duty", "Injector duty cycle", "IDC", "Taux injection", "Einspritzventil Tastverhältnis", "Rapport cyclique injecteur", "Duty inyector", "Duty iniettori"}},
		{quantity.FuelFlow, 0, []string{"Fuel flow", "Fuel rate", "Fuel consumption", "Kraftstoffverbrauch", "Kraftstoffdurchfluss", "Débit carburant", "Débit essence", "Caudal combustible", "Consumo combustible", "Portata carburante", "Vazão combustível", "Brandstofverbruik", "Bränsleflöde", "Przepływ paliwa", "Průtok paliva", "燃料流量"}},
		{quantity.AirFlow, 0, []string{"MAF", "Mass air flow", "Air flow", "Luftmasse", "Luftmassenstrom", "Débit d'air", "Flujo de aire", "Portata aria", "Luchtmassa"}},
		{quantity.TurboSpeed, 0, []string{"Turbo speed", "Turbo shaft speed", "Turbo RPM", "TurboSpeed", "Turboladerdrehzahl", "Turbodrehzahl", "Régime turbo", "Velocidad turbo", "Giri turbo", "Rotação turbo", "Turbotoerental", "Turbovarvtal", "ターボ回転数"}},
		{quantity.WastegateDuty, 0, []string{"Wastegate", "Wastegate duty", "WG duty", "Boost control duty", "Boost solenoid duty", "Ladedruckventil", "Ladedruckregelventil", "Ladedrucksteller", "Électrovanne de suralimentation"}},
		{quantity.WheelSpeedFL, 0, []string{"WS FL", "Wheel speed front left", "Wheel speed FL", "wheel_fl", "WheelSpeedFL", "Rad VL", "Raddrehzahl VL", "Radgeschwindigkeit vorne links", "Vitesse roue AV G", "Roue AVG", "Velocidad rueda delantera izquierda", "Rueda DI", "Velocità ruota ant sx", "Ruota anteriore sinistra", "Velocidade roda dianteira esquerda", "Wielsnelheid LV", "Hjulhastighet VF", "Prędkość koła LP", "Front left wheel speed", "LF wheel speed", "FL speed", "車輪速 左前", "Speed FL"}},
		{quantity.WheelSpeedRR, 0, []string{"WS RR", "Wheel speed rear right", "wheel_rr", "Rad HR", "Raddrehzahl hinten rechts", "Roue AR D", "Vitesse roue ARD", "Rueda trasera derecha", "Ruota post dx", "Roda traseira direita", "RR wheel speed", "Rear right wheel", "Wiel RA", "後輪 右"}},
		{quantity.GPSSpeed, 0, []string{"GPS speed", "GPS spd", "GpsSpeed", "gps_speed", "GPS-Geschwindigkeit", "Vitesse GPS", "Velocidad GPS", "Velocità GPS", "Velocidade GPS", "GPS snelheid", "GPS-hastighet", "Prędkość GPS", "Rychlost GPS", "GPS速度", "Speed GPS", "GNSS speed", "GPSspeed", "GPSvelocity", "Satellitengeschwindigkeit"}},
		{quantity.VehicleSpeed, 0, []string{"Vehicle speed", "Speed", "VSS", "Car speed", "Road speed", "Ground speed", "Fahrzeuggeschwindigkeit", "Geschwindigkeit", "Vitesse véhicule", "Vitesse", "Velocidad", "Velocidad vehículo", "Velocità", "Velocità veicolo", "Velocidade", "Snelheid", "Hastighet", "Prędkość", "Rychlost vozidla", "車速", "Скорость"}},
		{quantity.Latitude, 0, []string{"Latitude", "GPS latitude", "Lat", "Breite", "Breitengrad", "Latitud", "Latitudine", "Breedtegraad", "緯度", "Szerokość geograficzna", "Zeměpisná šířka"}},
		{quantity.Longitude, 0, []string{"Longitude", "GPS longitude", "Lon", "Lng", "Länge", "Längengrad", "Longitud", "Longitudine", "Lengtegraad", "経度", "Długość geograficzna", "Zeměpisná délka"}},
		{quantity.Altitude, 0, []string{"Altitude", "GPS altitude", "Alt", "Höhe", "Elevation", "Altitud", "Altitudine", "Hoogte", "高度"}},
		{quantity.AccelerationLong, 0, []string{"Longitudinal accel", "G long", "Acc X", "acc_x", "AccelX", "Accel long", "Längsbeschleunigung", "Beschleunigung längs", "Accél. longitudinale", "Accélération longitudinale", "Aceleración longitudinal", "Accelerazione longitudinale", "Aceleração longitudinal", "Langsversnelling", "Längdacceleration", "Przyspieszenie wzdłużne", "Podélné zrychlení", "前後加速度", "前後G", "Long G", "Продольное ускорение"}},
		{quantity.AccelerationLat, 0, []string{"Lateral accel", "G lat", "Acc Y", "acc_y", "Querbeschleunigung", "Accélération latérale", "Aceleración lateral", "Accelerazione laterale", "Aceleração lateral", "Dwarsversnelling", "Sidoacceleration", "Przyspieszenie poprzeczne", "Příčné zrychlení", "横加速度", "横G", "Lat G"}},
		{quantity.YawRate, 0, []string{"Yaw rate", "Gierrate", "Vitesse de lacet", "Velocidad de guiñada", "Velocità imbardata", "ヨーレート"}},
		{quantity.SteeringAngle, 0, []string{"Steering angle", "Steering wheel angle", "Lenkwinkel", "Angle volant", "Ángulo de dirección", "Angolo sterzo", "Stuurhoek", "Rattvinkel", "舵角"}},
		{quantity.Gear, 0, []string{"Gear", "Gear position", "Gang", "Rapport", "Rapport engagé", "Marcha", "Marcia", "Versnelling", "Växel", "Bieg", "Převodový stupeň", "ギア", "Передача", "CurrentGear"}},
		{quantity.Clutch, 0, []string{"Clutch", "Clutch pedal", "Kupplung", "Kupplungspedal", "Embrayage", "Embrague", "Frizione", "Embreagem", "Koppeling", "Koppling", "Sprzęgło", "Spojka", "クラッチ"}},
		{quantity.Brake, 0, []string{"Brake", "Brake pedal", "Brake switch", "Rempedaal", "Bromspedal", "Bremse", "Frein", "Freno", "Freio", "Rem", "Broms", "Hamulec", "Brzda", "ブレーキ"}},
		{quantity.BrakePressure, 0, []string{"Brake pressure", "Bremsdruck", "Pression de frein", "Presión de freno", "Pressione freno", "Remdruk", "Bromstryck", "ブレーキ圧"}},
		{quantity.Nitrous, 0, []string{"Nitrous active", "NOS", "N2O", "Nitrous solenoid", "Lachgas", "Protoxyde d'azote", "Óxido nitroso"}},
		{quantity.BatteryVoltage, 0, []string{"Battery", "Vbat", "Battery voltage", "Batt V", "Bordspannung", "Batteriespannung", "Batterie", "Tension batterie", "Voltaje batería", "Tensione batteria", "Tensão da bateria", "Accuspanning", "Batterispänning", "Napięcie akumulatora", "Napětí baterie", "バッテリー電圧", "Напряжение"}},
		{quantity.EthanolFraction, 0, []string{"Ethanol content", "Ethanol %", "Flex fuel", "E85 content", "Ethanolgehalt", "Taux d'éthanol", "Etanol"}},
		{quantity.FuelLevel, 0, []string{"Fuel level", "Tankinhalt", "Kraftstoffstand", "Niveau carburant", "Nivel combustible", "Livello carburante", "Brandstofniveau"}},
		{quantity.FuelTrim, 1, []string{"Short term fuel trim bank 1", "STFT1", "Fuel trim 1"}},
		{quantity.TyrePressure, 1, []string{"Tyre pressure FL", "Tire pressure front left", "Reifendruck VL", "TPMS FL"}},
		{quantity.TyreTemperature, 4, []string{"Tyre temp RR", "Reifentemperatur HR", "Tire temp rear right"}},
		{quantity.Humidity, 0, []string{"Humidity", "Relative humidity", "Luftfeuchtigkeit", "Humidité", "Humedad", "Umidità"}},
		{quantity.LaunchControl, 0, []string{"Launch control", "Launch active", "LaunchControl"}},
		{quantity.TorqueCut, 0, []string{"Torque cut", "Ignition cut", "Torque reduction", "TC torque cut", "Drehmomentreduktion", "Zündungsunterbrechung cut"}},
		{quantity.BottlePressure, 0, []string{"Bottle pressure", "Nitrous bottle pressure", "Flaschendruck", "N2O pressure"}},
		{quantity.Heading, 0, []string{"Heading", "GPS heading", "Course", "Bearing", "Kurs", "GPS course"}},
		{quantity.ShaftTorque, 0, []string{"Shaft torque", "Driveshaft torque", "Antriebswellenmoment"}},
	} {
		for _, name := range g.names {
			ws := splitName(name)
			q, score := (&candidate{guesses: readName(ws)}).bestName()
			if q != g.q || score < 0.45 {
				t.Errorf("%q is %s (%.2f), want %s; words %v", name, q, score, g.q, tell(ws))
				continue
			}
			if i := indexOf(q, ws); i != g.index {
				t.Errorf("%q has index %d, want %d; words %v", name, i, g.index, tell(ws))
			}
		}
	}
}

func tell(ws []word) []string {
	var out []string
	for _, w := range ws {
		s := w.text
		if len(w.senses) == 0 && w.number < 0 {
			s += "?"
		}
		if w.weak {
			s += "~"
		}
		out = append(out, s)
	}
	return out
}
