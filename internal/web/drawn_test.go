package web_test

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"traplight/internal/app"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// TestDrawnAsTold: what stands in the drawing of a pass is what the words and the report for
// scripts say, of a pass whose history taught it something.
func TestDrawnAsTold(t *testing.T) {
	t.Parallel()
	s := serve(t, storeOf(t, 4))
	const at = "/passes/marl-2033-06-11-4"
	var rep report.Report
	if err := json.Unmarshal(ask(s, "GET", "/api/v1"+at+"/report", nil).Body.Bytes(), &rep); err != nil {
		t.Fatal(err)
	}
	page := ask(s, "GET", at, nil).Body.String()
	var drawn []string
	for _, m := range regexp.MustCompile(`class="ceilingno"[^>]*>([^<]*)<`).FindAllStringSubmatch(page, -1) {
		drawn = append(drawn, m[1])
	}
	const lbft = 1.3558179483314 // N·m, NIST SP 811
	n := 0
	for _, g := range rep.Passes[0].Gears {
		if g.CeilingWheel == nil {
			continue
		}
		n++
		told := fmt.Sprintf("≥ %.0f", *g.CeilingWheel/lbft)
		if !*g.CeilingIsBound {
			told, _, _ = quantity.Imperial.Parts(quantity.DimTorque, *g.CeilingWheel, *g.CeilingWheelSD)
		}
		if !slices.Contains(drawn, told) {
			t.Errorf("gear %d: told %s lb-ft, drawn %q", g.Gear, told, drawn)
		}
		if !strings.Contains(page, "<td>"+told+"<") && !strings.Contains(page, "<td>"+told+" <") {
			t.Errorf("gear %d: %s lb-ft does not stand in the table", g.Gear, told)
		}
	}
	if n < 3 || len(drawn) < 3 {
		t.Errorf("%d ceilings told, drawn %q", n, drawn)
	}

	// The account of lost speed, worked out behind the page, is that of the files alone.
	dir, logs := demoShop(t)
	second, err := s.shop.FindOne(t.Context(), "marl-2033-06-11-2")
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.shop.Account(t.Context(), second.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	want, err := app.Report(t.Context(), app.ReportRequest{Logs: logs[1:2], History: logs[:1], Cars: []string{filepath.Join(dir, "car_marl.toml")}, Notes: filepath.Join(dir, "passes.toml")})
	if err != nil {
		t.Fatal(err)
	}
	for i, l := range want.Passes[0].Ledger {
		if k := got.Passes[0].Ledger[i]; k.Cause != l.Cause || math.Abs(*k.SpeedMps-*l.SpeedMps) > 1e-9 {
			t.Errorf("%s: %v behind the page, %v of the files", l.Cause, *k.SpeedMps, *l.SpeedMps)
		}
	}
	if len(want.Passes[0].Ledger) < 8 {
		t.Errorf("only %d lines", len(want.Passes[0].Ledger))
	}
}
