package web_test

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"traplight/internal/app"
	"traplight/internal/web"
)

func TestMain(m *testing.M) {
	code := m.Run()
	chrome.end()
	if demo.top != "" {
		os.RemoveAll(demo.top)
	}
	os.Exit(code)
}

// demo is the invented shop's files, and stores of its first passes, each made once.
var demo struct {
	sync.Once
	top, dir string
	logs     []string
	err      error

	mu    sync.Mutex
	ready map[int]string // stores with the first logs, by how many
}

// demoShop is the invented shop's files.
func demoShop(t testing.TB) (dir string, logs []string) {
	t.Helper()
	demo.Do(func() {
		if demo.top, demo.err = os.MkdirTemp("", "traplight-web-"); demo.err != nil {
			return
		}
		demo.dir, demo.ready = filepath.Join(demo.top, "shop"), map[int]string{}
		var shop *app.DemoShop
		if _, shop, demo.err = app.Demo(context.Background(), app.DemoRequest{Seed: 1, Save: demo.dir, Pass: 1}); demo.err == nil {
			for _, l := range shop.Logs {
				demo.logs = append(demo.logs, filepath.Join(demo.dir, l))
			}
		}
	})
	if demo.err != nil {
		t.Fatal(demo.err)
	}
	return demo.dir, demo.logs
}

// storeOf is a copy of the store in which the invented shop's sheet, notes and first n
// logs are: each is made once, of the one with a log less, so that a test which asks for
// passes does not take logs in.
func storeOf(t testing.TB, n int) string {
	t.Helper()
	demoShop(t)
	demo.mu.Lock()
	defer demo.mu.Unlock()
	return copyOf(t, readyStore(t, n))
}

func readyStore(t testing.TB, n int) string {
	t.Helper()
	if from := demo.ready[n]; from != "" {
		return from
	}
	files := []string{filepath.Join(demo.dir, "passes.toml"), filepath.Join(demo.dir, "car_marl.toml")}
	to := filepath.Join(demo.top, "store", string(rune('0'+n)))
	if n > 1 {
		if err := os.CopyFS(to, os.DirFS(readyStore(t, n-1))); err != nil {
			t.Fatal(err)
		}
		files = nil
	}
	s := serve(t, to)
	j := add(t, s, append(files, demo.logs[n-1])...)
	s.stop()
	if j.Error != "" {
		t.Fatal(j.Error)
	}
	demo.ready[n] = to
	return to
}

// copyOf copies a store that no server has open.
func copyOf(t testing.TB, store string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "store")
	if err := os.CopyFS(to, os.DirFS(store)); err != nil {
		t.Fatal(err)
	}
	return to
}

// still has a quick look stay as it begins: how sharp it becomes is held by package surface.
func still(o *web.Options) { o.Effort.Still = true }

// lightly has a server work out little about a pass to come, for tests of what a page does
// with it; what it comes to in full is held by TestInBrowser.
func lightly(o *web.Options) { o.Effort = web.Effort{Members: 3, Draws: 300, Search: 12, Still: true} }
