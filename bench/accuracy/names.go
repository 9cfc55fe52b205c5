package main

// otherNames are plain words that a person might type over a column, by
// language and by the truth's quantity.
var otherNames = map[string]map[string]string{
	"english": {
		"rpm": "Motor rpm", "throttle": "Throttle opening", "map": "Intake manifold press",
		"exhaust_manifold_pressure": "Turbine inlet press", "barometer": "Atmospheric press",
		"intake_temp": "Air temperature intake", "coolant_temp": "Water temperature", "coolant_pressure": "Water press",
		"oil_pressure": "Press oil", "oil_temp": "Temp oil", "fuel_pressure": "Press fuel", "injector_duty": "Duty cycle injectors",
		"ignition_angle": "Spark advance", "wheel_fl": "Speed FL", "wheel_fr": "Speed FR", "wheel_rl": "Speed RL", "wheel_rr": "Speed RR",
		"accel_long": "Ax", "accel_lat": "Ay", "gps_speed": "Satellite speed", "gps_lat": "Latitude", "gps_lon": "Longitude",
		"turbo_rpm": "Turbo speed", "battery_voltage": "Supply voltage", "brake": "Brake pedal", "fuel_flow": "Fuel consumption",
	},
	"german": {
		"rpm": "Motordrehzahl", "throttle": "Drosselklappenstellung", "map": "Saugrohrdruck", "exhaust_manifold_pressure": "Abgasgegendruck",
		"barometer": "Umgebungsdruck", "intake_temp": "Ansauglufttemperatur", "coolant_temp": "Kühlwassertemperatur", "coolant_pressure": "Kühlwasserdruck",
		"oil_pressure": "Öldruck", "oil_temp": "Öltemperatur", "fuel_pressure": "Kraftstoffdruck", "injector_duty": "Tastverhältnis Einspritzung",
		"ignition_angle": "Zündwinkel", "wheel_fl": "Raddrehzahl VL", "wheel_fr": "Raddrehzahl VR", "wheel_rl": "Raddrehzahl HL", "wheel_rr": "Raddrehzahl HR",
		"accel_long": "Längsbeschleunigung", "accel_lat": "Querbeschleunigung", "gps_speed": "GPS Geschwindigkeit", "gps_lat": "Breitengrad", "gps_lon": "Längengrad",
		"gear": "Gang", "turbo_rpm": "Laderdrehzahl", "battery_voltage": "Bordspannung", "brake": "Bremse", "fuel_flow": "Kraftstoffverbrauch", "clutch_pedal": "Kupplung",
	},
	"french": {
		"rpm": "Régime moteur", "throttle": "Ouverture papillon", "map": "Pression collecteur admission", "exhaust_manifold_pressure": "Pression échappement",
		"barometer": "Pression atmosphérique", "intake_temp": "Température air admission", "coolant_temp": "Température eau", "coolant_pressure": "Pression eau",
		"oil_pressure": "Pression huile", "oil_temp": "Température huile", "fuel_pressure": "Pression carburant", "injector_duty": "Taux d'injection",
		"ignition_angle": "Avance allumage", "wheel_fl": "Vitesse roue AVG", "wheel_fr": "Vitesse roue AVD", "wheel_rl": "Vitesse roue ARG", "wheel_rr": "Vitesse roue ARD",
		"accel_long": "Accélération longitudinale", "accel_lat": "Accélération latérale", "gps_speed": "Vitesse GPS", "gps_lat": "Latitude", "gps_lon": "Longitude",
		"gear": "Rapport engagé", "turbo_rpm": "Régime turbo", "battery_voltage": "Tension batterie", "brake": "Frein", "fuel_flow": "Débit carburant", "clutch_pedal": "Embrayage",
	},
	"spanish": {
		"rpm": "Régimen del motor", "throttle": "Posición mariposa", "map": "Presión colector admisión", "exhaust_manifold_pressure": "Presión escape",
		"barometer": "Presión atmosférica", "intake_temp": "Temperatura aire admisión", "coolant_temp": "Temperatura agua", "coolant_pressure": "Presión agua",
		"oil_pressure": "Presión aceite", "oil_temp": "Temperatura aceite", "fuel_pressure": "Presión combustible", "injector_duty": "Ciclo inyectores",
		"ignition_angle": "Avance encendido", "wheel_fl": "Velocidad rueda DI", "wheel_fr": "Velocidad rueda DD", "wheel_rl": "Velocidad rueda TI", "wheel_rr": "Velocidad rueda TD",
		"accel_long": "Aceleración longitudinal", "accel_lat": "Aceleración lateral", "gps_speed": "Velocidad GPS", "gps_lat": "Latitud", "gps_lon": "Longitud",
		"gear": "Marcha", "turbo_rpm": "Régimen turbo", "battery_voltage": "Tensión batería", "brake": "Freno", "fuel_flow": "Caudal combustible", "clutch_pedal": "Embrague",
	},
	"italian": {
		"rpm": "Giri motore", "throttle": "Posizione farfalla", "map": "Pressione collettore aspirazione", "exhaust_manifold_pressure": "Pressione scarico",
		"barometer": "Pressione atmosferica", "intake_temp": "Temperatura aria aspirazione", "coolant_temp": "Temperatura acqua", "coolant_pressure": "Pressione acqua",
		"oil_pressure": "Pressione olio", "oil_temp": "Temperatura olio", "fuel_pressure": "Pressione carburante", "injector_duty": "Duty iniettori",
		"ignition_angle": "Anticipo accensione", "wheel_fl": "Velocità ruota AS", "wheel_fr": "Velocità ruota AD", "wheel_rl": "Velocità ruota PS", "wheel_rr": "Velocità ruota PD",
		"accel_long": "Accelerazione longitudinale", "accel_lat": "Accelerazione laterale", "gps_speed": "Velocità GPS", "gps_lat": "Latitudine", "gps_lon": "Longitudine",
		"gear": "Marcia", "turbo_rpm": "Giri turbo", "battery_voltage": "Tensione batteria", "brake": "Freno", "fuel_flow": "Portata carburante", "clutch_pedal": "Frizione",
	},
}
