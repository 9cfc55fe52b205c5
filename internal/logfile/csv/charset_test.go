package csv

import (
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
)

// TestGuessCharset: an accented letter of Windows-1252 and the plain one behind it look like
// one sign of Shift JIS, and a head of French names alone like a text of such signs.
func TestGuessCharset(t *testing.T) {
	french := "Temps (s);Contre-pression échappement;G latéral;Baromètre;Température air;T échap 1;T échap 2;Régime turbo;Accélération\n" + strings.Repeat("0.01;2.3;4\n", 40)
	b, err := charmap.Windows1252.NewEncoder().String(french)
	if err != nil {
		t.Fatal(err)
	}
	if got := guessCharset([]byte(b)); got.name != "Windows-1252" {
		t.Errorf("French is read as %s", got.name)
	}
	b, err = japanese.ShiftJIS.NewEncoder().String("時間,回転数,水温,油温,油圧,燃圧,スロットル開度,車速\n" + strings.Repeat("0.01,2.3,4\n", 40))
	if err != nil {
		t.Fatal(err)
	}
	if got := guessCharset([]byte(b)); got.name != "Shift JIS" {
		t.Errorf("Japanese is read as %s", got.name)
	}
}
