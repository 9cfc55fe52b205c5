package web_test

import (
	"net/http"
	"path/filepath"
	"strings"
	"testing"
)

// benchShop is a server with the invented shop's first two passes, and one's name.
func benchShop(b *testing.B) (http.Handler, string) {
	dir, logs := demoShop(b)
	s := serve(b, b.TempDir())
	j := add(b, s, filepath.Join(dir, "passes.toml"), filepath.Join(dir, "car_marl.toml"), logs[0])
	if j.Error != "" {
		b.Fatal(j.Error)
	}
	return s, strings.TrimPrefix(j.Goto, "/passes/")
}

func benchmark(b *testing.B, path func(name string) string) {
	s, name := benchShop(b)
	at := path(name)
	if w := ask(s, "GET", at, nil); w.Code != http.StatusOK {
		b.Fatal(w.Code)
	}
	for b.Loop() {
		ask(s, "GET", at, nil)
	}
}

func BenchmarkFirstPage(b *testing.B) { benchmark(b, func(string) string { return "/" }) }

func BenchmarkPassPage(b *testing.B) {
	benchmark(b, func(name string) string { return "/passes/" + name })
}

func BenchmarkTraces(b *testing.B) {
	benchmark(b, func(name string) string { return "/passes/" + name + "/traces?points=2000" })
}
