package health

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func TestResid(t *testing.T) {
	id := os.Getenv("WATCH")
	if id == "" {
		t.Skip()
	}
	sheet := sheetOf(t, "marlin")
	names := []string{"a01", "a02", "a03", "a04", "a05", "a06", "a07", "a08", "a09"}
	var ds []*digest
	var looks []*look
	for k, n := range names {
		r, _ := fromTruth(t, n+"_marlin")
		r.Note = noteOf(t, n+"_marlin")
		for _, l := range newFrame(r, sheet).watches() {
			if l.id == id {
				looks = append(looks, l)
				if k < 7 {
					ds = append(ds, l.digestRows(l.rows))
				}
			}
		}
	}
	m := looks[0].learn(ds)
	for k, l := range looks {
		if !strings.Contains(os.Getenv("PASS"), names[k]) {
			continue
		}
		fmt.Println(names[k], m.coef, m.wander)
		for i := range l.rows.Y {
			e := l.rows.Y[i]
			for j := range m.coef {
				e -= m.coef[j] * l.rows.X[i*l.rows.P+j]
			}
			fmt.Printf("%.2f y %.4g r %.4g x %.3g\n", l.rows.T[i], l.rows.Y[i], e, l.rows.X[i*l.rows.P:i*l.rows.P+l.rows.P])
		}
	}
}
