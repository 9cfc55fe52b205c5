package csv

import (
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
)

// TestEightBit: headers in eight codes of one byte, and signs of one that are letters in another.
func TestEightBit(t *testing.T) {
	const german = "Zeit (s);Öldruck (bar);Öltemperatur (°C);Kühlmitteltemperatur (°C);Längsbeschleunigung (m/s²);Zündwinkel (°)"
	const french = "Temps (s);Régime moteur (tr/min);Température d’eau (°C);Pression d’huile (bar);Pédale d’accélérateur (%);Débit (cm³/min);Débit air (m³/h)"
	const polish = "Czas [s];PRĘDKOŚĆ [km/h];Ciśnienie doładowania [kPa];Kąt zapłonu [°];Napięcie [V]"
	const czech = "Čas [s];Otáčky motoru [1/min];Tlak oleje [bar];Teplota chladicí kapaliny [°C];Poloha škrticí klapky [%];Rychlost kola zadní pravé [km/h]"
	for _, c := range []struct {
		code *charmap.Charmap
		name string
		text string
	}{
		{charmap.Windows1252, "Windows-1252", german},
		{charmap.Windows1252, "Windows-1252", french},
		{charmap.Windows1252, "Windows-1252", "Tid [s];Växel;Bränsletryck [bar];Hjulhastighet höger fram [km/h];Tändvinkel [°];Längsacceleration [g]"},
		{charmap.Windows1252, "Windows-1252", "Time [s];Flow [m³/h];Air [m³/h];Fuel [cm³/min];Ax [m/s²];Oil [°C]"},
		{charmap.Macintosh, "Mac OS Roman", strings.ReplaceAll(german, "²", "2")},
		{charmap.Macintosh, "Mac OS Roman", strings.NewReplacer("³", "3").Replace(french)},
		{charmap.Macintosh, "Mac OS Roman", "TEMPS;T° EAU;ACCÉL. X;TEMP. GAZ ÉCH."},
		{charmap.CodePage850, "code page 850", strings.NewReplacer("’", "'").Replace(french)},
		{charmap.CodePage850, "code page 850", "Time;Oil (°C);Water (°C);Intake (°C)"},
		{charmap.Windows1250, "Windows-1250", polish},
		{charmap.Windows1250, "Windows-1250", czech},
		{charmap.ISO8859_2, "ISO 8859-2", polish},
		{charmap.CodePage852, "code page 852", polish},
		{charmap.Windows1251, "Windows-1251", "Время;Обороты двигателя;Давление масла;Температура охлаждающей жидкости"},
	} {
		b, err := c.code.NewEncoder().String(c.text + "\n" + strings.Repeat("0.01;2.3;4\n", 40))
		if err != nil {
			t.Errorf("%s cannot hold %q: %v", c.name, c.text, err)
			continue
		}
		if got := guessCharset([]byte(b)); got.name != c.name && got.decode([]byte(b)) != c.text+"\n"+strings.Repeat("0.01;2.3;4\n", 40) {
			t.Errorf("%s is read as %s: %s", c.name, got.name, strings.SplitN(got.decode([]byte(b)), "\n", 2)[0])
		}
	}
}
