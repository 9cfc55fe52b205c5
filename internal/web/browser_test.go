package web_test

import (
	"fmt"
	"math"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestInBrowser goes the whole way of a day: first start, the invented shop, a dropped
// log, a channel settled, the report, a comparison, the next pass, the card, paper,
// reload, the server started anew.
func TestInBrowser(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s := serve(t, dir, still)
	front := httptest.NewServer(s)
	defer func() { front.Close() }()
	b := newReader(t, front.URL)

	b.do(phone)
	b.open("/")
	b.check("first start")
	b.picture("first-start-phone")
	b.do(laptop)
	b.open("/")
	b.picture("first-start")
	if got := b.js(`document.querySelector("h1").textContent`); got != "Nothing here yet" {
		t.Errorf("first start says %q", got)
	}

	// The invented shop, but for its last log, which is dropped afterwards.
	shop, logs := demoShop(t)
	last := logs[len(logs)-1]
	first := append([]string{filepath.Join(shop, "passes.toml"), filepath.Join(shop, "car_marl.toml")}, logs[:3]...)
	b.do(chromedp.SetUploadFiles("#files", first))
	b.until("progress", `location.pathname.startsWith("/jobs/") || document.querySelector(".passes")`)
	b.until("the day", `location.pathname === "/" && document.querySelectorAll(".passes tbody tr").length === 3`)
	b.both("day", "/")

	// A file that is no log is refused in a sentence.
	nonsense := filepath.Join(t.TempDir(), "holiday.csv")
	if err := os.WriteFile(nonsense, []byte("not a log\x00\x01"), 0o600); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.SetUploadFiles("#files", []string{nonsense}))
	b.until("the refusal", `document.querySelector("p.trouble")`)
	if got := b.js(`document.querySelector("p.trouble").textContent`); !strings.Contains(got, "holiday.csv") {
		t.Errorf("the refusal says %q", got)
	}
	b.picture("refused")

	// A log dropped on the page leads to its answers.
	b.open("/")
	drop(b, last)
	b.until("the pass", `location.pathname.startsWith("/passes/") && document.querySelector("footer")`)
	name := strings.TrimPrefix(b.js(`location.pathname`), "/passes/")
	if got := b.js(`[...document.querySelectorAll("main h2")].slice(0, 5).map(h => h.textContent).join(", ")`); got != "Fit to go again?, What happened, Where the speed went, Next pass, What is used up" {
		t.Errorf("the questions are %s", got)
	}
	// Settle a channel, before what takes seconds is worked out.
	b.js(`fetch("/api/v1/passes/` + name + `").then(r => r.json()).then(p => { location.href = "/logs/" + p.sha256 + "/channels" }); ""`)
	b.until("the channels", `document.querySelector(".chan")`)
	at := b.js(`location.pathname`)
	b.js(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	b.js(`(() => { const f = [...document.querySelectorAll(".chan")].pop(); f.querySelector("[name=is]").value = "none"; f.closest("form").querySelector("[name=back]").click() })(); ""`)
	b.until("the work", `location.pathname.startsWith("/jobs/") || document.body.textContent.includes("settled: none")`)
	b.until("the channel settled", `location.pathname === "`+at+`" && document.body.textContent.includes("settled: none")`)
	b.both("channels", at)

	b.open("/passes/" + name)
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	b.both("pass", "/passes/"+name)
	b.do(chromedp.Click("[data-traces] > summary"))
	b.until("the traces", `document.querySelectorAll(".tracerow canvas").length > 5`)
	b.check("the traces")
	b.picture("traces")
	zoom(b)

	// The dark ground, on request.
	b.js(`document.querySelector("select[name=ground]").value = "dark"; document.querySelector("form.look").submit(); ""`)
	b.until("the dark ground", `document.documentElement.dataset.ground === "dark"`)
	b.check("the pass on the dark ground")
	b.picture("pass-dark")
	b.js(`document.querySelector("select[name=ground]").value = "light"; document.querySelector("form.look").submit(); ""`)
	b.until("the light ground", `document.documentElement.dataset.ground === "light"`)

	// Compare.
	b.open("/")
	b.js(`document.querySelectorAll(".passes input[type=checkbox]").forEach((e, i) => { e.checked = i === 0 || i === 3 }); document.querySelector(".passes").closest("form").submit(); ""`)
	b.until("the comparison", `location.pathname === "/compare" && document.querySelector("figure svg")`)
	b.both("compare", b.js(`location.pathname + location.search`))

	// Next pass, turn-round, card.
	b.open("/cars/Marl/next")
	b.until("the forecast", `document.querySelector(".facts dd")`)
	b.until("the quick look", `document.querySelector("form[data-set]").dataset.ready`)
	was := b.js(`document.querySelector("[data-line] b").textContent`)
	b.js(knob("input"))
	b.until("the forecast while dragging", `document.querySelector("[data-how]").textContent.startsWith("At a glance")`)
	guess := b.js(`document.querySelector("[data-line] b").textContent`)
	b.js(knob("change"))
	b.until("the full forecast", `document.querySelector("[data-how]").textContent.startsWith("2000 passes")`)
	full := b.js(`document.querySelector("[data-line] b").textContent`)
	var x, y float64
	fmt.Sscan(guess, &x)
	fmt.Sscan(full, &y)
	if was == full || math.Abs(x-y) > 0.15 { // 0.1 mph, and both are rounded to tenths
		t.Errorf("before %s mph, while dragging %s, let go %s", was, guess, full)
	}
	b.check("next pass")
	b.open("/cars/Marl/round")
	b.js(`document.querySelector("[name=done]").click(); ""`)
	b.until("the tick", `document.querySelector("[data-left]").textContent.startsWith("9 ")`)
	b.both("turn-round", "/cars/Marl/round")
	b.open("/cars/Marl/next")
	b.js(`document.querySelector("button[value=plan]").click(); ""`)
	b.until("the plan", `location.search.includes("id=") && document.querySelector(".plan")`)
	planned := b.js(`location.pathname + location.search`)
	b.do(phone)
	b.open(planned)
	b.until("the forecast drawn", `document.querySelector("[data-outlook] text") && !document.querySelector(".knob input[hidden]")`)
	b.check("next on the phone")
	b.picture("next-phone")
	b.do(laptop)
	b.open(planned)
	b.until("the forecast drawn", `document.querySelector("[data-outlook] text") && !document.querySelector(".knob input[hidden]")`)
	b.check("next on the laptop")
	b.picture("next")
	b.js(`document.querySelector("button[value=card]").click(); ""`)
	b.until("the card", `document.querySelector(".card") || location.search.includes("id=") && location.pathname + location.search !== `+fmt.Sprintf("%q", planned))
	if b.js(`String(!!document.querySelector(".card"))`) == "true" {
		b.both("card", b.js(`location.pathname`))
		cardOnPaper(b)
	} else {
		t.Errorf("no card: %s", b.js(`document.querySelector(".mind")?.textContent || document.body.innerText`))
	}
	b.open("/passes/" + name)
	if n := b.paper("pass", a4); n < 1 || n > 6 {
		t.Errorf("the pass prints on %d pages", n)
	}
	b.printed("/", ".passes .trap", ".pickcol", "main button")
	b.printed("/cars/Marl/round", ".picks label", "main button", "textarea")
	b.printed("/cars/Marl/next", ".sliders input[name=boost]", "main button")
	b.both("notes", "/passes/"+name+"/notes")
	b.both("cars", "/cars")
	b.both("car", "/cars/Marl")
	b.js(`(() => { const s = document.querySelector("[data-sheet] textarea"); s.value += "\nmas_kg = 3\n"; s.dispatchEvent(new Event("input")) })(); ""`)
	b.until("the check of the sheet", `document.querySelector("[data-checked] li")`)
	b.check("a wrong sheet")
	b.picture("car-wrong")
	b.open("/cars/Marl/parts")
	b.js(`document.querySelector("form[data-sheet]").submit(); ""`)
	b.until("the parts counted", `document.querySelector("table.parts")`)
	b.both("parts", "/cars/Marl/parts")
	b.open("/cars/Marl/trends")
	b.until("the relations", `document.querySelector("#course ~ details") && !document.querySelector("[data-wait]")`)
	b.both("trends", "/cars/Marl/trends")
	b.open("/cars/Marl/size")
	b.until("the sizing", `document.querySelector("ul.todo")`)
	b.both("size", "/cars/Marl/size")
	b.both("record", "/record")
	b.both("strips", "/strips?kind=strip")
	b.both("backup", "/keep")
	b.both("compare-road-speed", "/compare?pass=marl-2033-06-11-1&pass="+name+"&by=road+speed")

	// Reload and restart: the same address, the same page.
	address := "/passes/" + name
	b.open(address)
	before := b.js(`document.querySelector("main").innerText`)
	front.Close()
	s.stop()
	s = serve(t, dir, still)
	front = httptest.NewServer(s)
	b.base = front.URL
	b.quiet("422", "404") // refused above with these codes, which the console notes
	b.open(address)
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	if after := b.js(`document.querySelector("main").innerText`); after != before {
		t.Errorf("after a restart the page differs: %s", firstDifference(before, after))
	}
}

// cardOnPaper prints the card, as it is and much fuller, on A4 and on US Letter.
func cardOnPaper(b *reader) {
	b.t.Helper()
	print := func(what string) {
		b.t.Helper()
		for name, sheet := range map[string][2]float64{"A4": a4, "US Letter": letter} {
			if n := b.paper("card-"+what, sheet); n != 1 {
				b.t.Errorf("the %s card prints on %d sheets of %s", what, n, name)
			}
		}
	}
	print("plain")
	size := func() (f float64) {
		b.t.Helper()
		if _, err := fmt.Sscan(b.js(`document.documentElement.style.getPropertyValue("--fit")`), &f); err != nil {
			b.t.Fatal(err)
		}
		return f
	}
	usual := size()
	// All ten limits of protection twice, three times the notes, parts that are due.
	b.js(`(() => { for (const li of document.querySelectorAll(".sheet2 section:last-of-type li, .sheet2 section:nth-last-of-type(2) li")) li.after(li.cloneNode(true));
	  const p = document.querySelector(".card .mind"); for (let i = 0; i < 3; i++) p.after(p.cloneNode(true)) })(); ""`)
	print("full")
	if f := size(); usual < 0.85 || f >= usual || f < 0.7 || b.js(`document.querySelector("article.card").dataset.full`) != "false" {
		b.t.Errorf("the plain card is printed at %.2f of its size, the full one at %.2f", usual, f)
	}
	// Beyond the smallest type it says so before it is printed.
	b.js(`(() => { const p = document.querySelector(".card .mind"); for (let i = 0; i < 60; i++) p.after(p.cloneNode(true)); dispatchEvent(new Event("beforeprint")) })(); ""`)
	if b.js(`String(document.querySelector("[data-toofull]").hidden)`) != "false" {
		b.t.Error("a card too full for one sheet does not say so")
	}
}
