package web_test

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"traplight/internal/app"
	"traplight/internal/store"
)

// settled asks for a page until nothing on it waits for work.
func settled(t *testing.T, s *server, path string) string {
	t.Helper()
	waits := regexp.MustCompile(`data-wait="([^"]+)"`)
	for range 10 {
		text := ask(s, "GET", path, nil).Body.String()
		m := waits.FindStringSubmatch(text)
		if m == nil {
			return text
		}
		if j := waitFor(t, s, m[1]); j.Error != "" {
			t.Fatal(j.Error)
		}
	}
	t.Fatalf("%s never settles", path)
	return ""
}

// TestHealthTrends: what the health screen follows from pass to pass stands on the page of
// trends as the command tells it, and each relation can be looked at.
func TestHealthTrends(t *testing.T) {
	t.Parallel()
	dir, logs := demoShop(t)
	s := serve(t, storeOf(t, 4))
	if first := ask(s, "GET", "/cars/Marl/trends", nil).Body.String(); !strings.Contains(first, "Trap speed:") || !strings.Contains(first, "data-wait") {
		t.Error("the page waits for the relations instead of showing what it has")
	}
	page := settled(t, s, "/cars/Marl/trends")
	a, err := app.Health(context.Background(), app.HealthRequest{Logs: logs[3:4], History: logs[:3], Cars: []string{filepath.Join(dir, "car_marl.toml")}, Notes: filepath.Join(dir, "passes.toml")})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Trends) < 20 {
		t.Fatalf("the command follows %d relations", len(a.Trends))
	}
	said, summary := a.Kept().Courses(a.World)
	for _, want := range append(said, summary) {
		if !strings.Contains(page, html.EscapeString(want)) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, tr := range []string{a.Trends[0].What, a.Trends[len(a.Trends)/2].What} {
		one := settled(t, s, "/cars/Marl/trends?of="+url.QueryEscape("health: "+tr))
		if !strings.Contains(one, `aria-current="true">`+tr) || !strings.Contains(one, "plain 2033") || !strings.Contains(one, "clear passes") {
			t.Errorf("%s is not shown with its event", tr)
		}
	}
}

// TestShopHealth: while a car has few clear passes, the page holds its pass against the
// shop's other cars as the command does with --shop, without waiting for it.
func TestShopHealth(t *testing.T) {
	t.Parallel()
	dir, logs := demoShop(t)
	s := serve(t, storeOf(t, 4))
	// A second car of the same make: its log is that of the day's fifth pass.
	sheet, err := os.ReadFile(filepath.Join(dir, "car_marl.toml"))
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "car_dunlin.toml")
	if err := os.WriteFile(other, bytes.Replace(sheet, []byte(`name = "Marl"`), []byte(`name = "Dunlin"`), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	notes := filepath.Join(t.TempDir(), "passes.toml")
	if err := os.WriteFile(notes, []byte("[[pass]]\nid = \"d1\"\nfile = \"d01_dunlin.csv\"\nindex = 0\ncar = \"Dunlin\"\nevent = \"plain\"\nstrip = \"plain\"\nwhen = \"2033-06-12 10:00\"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	log := filepath.Join(t.TempDir(), "d01_dunlin.csv")
	data, err := os.ReadFile(logs[4])
	if err == nil {
		err = os.WriteFile(log, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
	j := add(t, s, other, notes, log)
	if j.Error != "" {
		t.Fatal(j.Error)
	}
	name := strings.TrimPrefix(j.Goto, "/passes/")
	pending := func() bool {
		all, err := s.shop.Passes(t.Context(), store.Filter{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.shop.FindOne(t.Context(), name)
		if err != nil {
			t.Fatal(err)
		}
		_, pending := s.shop.Verdict(t.Context(), all, p)
		return pending
	}
	if !pending() {
		t.Error("a verdict that the other cars were not asked for is taken for the last word")
	}
	if page := ask(s, "GET", "/passes/"+name, nil).Body.String(); !strings.Contains(page, "What happened") || !strings.Contains(page, "being held against the shop") {
		t.Error("the page waits for the other cars")
	}
	page := settled(t, s, "/passes/"+name)
	if pending() {
		t.Error("the verdict still waits for the other cars")
	}
	a, err := app.Health(context.Background(), app.HealthRequest{Logs: []string{log}, Shop: logs[:4], Cars: []string{other, filepath.Join(dir, "car_marl.toml")},
		Notes: filepath.Join(dir, "passes.toml"), CarOf: map[string]string{log: "Dunlin", logs[0]: "Marl", logs[1]: "Marl", logs[2]: "Marl", logs[3]: "Marl"}})
	if err != nil {
		t.Fatal(err)
	}
	// The command given the pass by its name takes the same cars.
	named, err := app.Resolve(t.Context(), s.shop.Dir(), "traplight test", []string{name}, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	defer named.Close()
	first, _ := named.First()
	others, err := app.Others(t.Context(), s.shop.Dir(), "traplight test", first)
	if err != nil || others == nil || len(others.Logs) != 4 {
		t.Fatalf("by name: %+v, %v", others, err)
	}
	others.Close()
	r := a.Passes[0].Result
	if !strings.Contains(r.Basis, "other car") {
		t.Fatalf("the command's basis is %q", r.Basis)
	}
	for _, want := range []string{r.Basis, fmt.Sprintf("%s:", strings.ToUpper(string(r.Verdict[:1]))+string(r.Verdict[1:]))} {
		if !strings.Contains(page, html.EscapeString(want)) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
