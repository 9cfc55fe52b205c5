// The next pass: while a setting is dragged the forecast follows at once, from the server's
// quick look; when it is let go the full forecast follows. Nothing is worked out here.

const box = document.querySelector("[data-coming]");
const form = document.querySelector("form[data-set]");

const NS = "http://www.w3.org/2000/svg";

class Coming {
  constructor() {
    this.at = box.dataset.coming;
    this.seq = 0;
    this.line = box.querySelector("[data-line]");
    this.facts = box.querySelector("[data-facts]");
    this.how = box.querySelector("[data-how]");
    this.art = box.querySelector("[data-outlook]");
    this.sharp = box.querySelector("[data-sharp]");
    this.bar = box.querySelector("progress");
    this.written = this.how.textContent;
    form.addEventListener("input", (e) => this.moved(e.target));
    form.addEventListener("change", (e) => {
      if (e.target.name !== "risk") this.full();
    });
    addEventListener("resize", () => this.last && this.outlook(this.last));
    this.full(true);
  }

  async post(what) {
    const body = new URLSearchParams(new FormData(form));
    const r = await fetch(`${this.at}/${what}`, { method: "POST", body, headers: { Accept: "application/json" } });
    const a = await r.json();
    if (!r.ok) throw new Error(a.error || "That did not work.");
    return a;
  }

  // asks until the work behind it is done
  async wait(what, tell) {
    for (;;) {
      const a = await this.post(what);
      if (a.ready) return a;
      for (;;) {
        await new Promise((done) => setTimeout(done, 250));
        const j = await (await fetch("/api/v1/jobs/" + a.job)).json();
        if (tell) this.progress(j);
        if (j.finished) break;
      }
    }
  }

  progress(j) {
    const doing = /^\S*[._]/.test(j.doing) ? "reading " + j.doing : j.doing; // a file keeps its name
    this.how.textContent = `${doing[0].toUpperCase()}${doing.slice(1)}${j.of > 1 ? ` (${Math.min(j.done + 1, j.of)} of ${j.of})` : ""}…`;
    this.bar.hidden = j.finished;
    if (j.of > 1) {
      this.bar.max = j.of;
      this.bar.value = j.done;
    } else this.bar.removeAttribute("value");
  }

  // The full forecast; the first one only fills in what the page does not say yet.
  async full(first) {
    this.wanted = false; // a look that waits its turn would be older than this
    const mine = ++this.seq;
    if (!first) this.how.textContent = "Running 2000 passes…";
    try {
      const a = await this.wait("coming", true);
      if (mine !== this.seq) return;
      this.show(a, first && this.written);
      this.how.textContent = first && this.written ? this.written : "2000 passes were run in the model. Not written down yet.";
      this.reach(a.range);
      this.ready = !!a.range;
      if (this.ready) form.dataset.ready = "yes";
    } catch (e) {
      this.bar.hidden = true;
      if (mine === this.seq) this.how.textContent = e.message;
    }
  }

  // The quick look answers from the beginning and is sharpened meanwhile.
  async sharpen(job) {
    if (this.sharpening === job) return;
    this.sharpening = job;
    for (;;) {
      const j = await (await fetch("/api/v1/jobs/" + job)).json().catch(() => ({ finished: true }));
      if (this.sharpening !== job) return;
      this.sharp.textContent = j.finished ? "" : `The sliders answer at once; they are being made sharper (${j.done + 1} of ${Math.max(j.of, 1)}).`;
      if (j.finished) break;
      await new Promise((done) => setTimeout(done, 400));
    }
    this.sharpening = null;
  }

  moved(e) {
    if (e.type === "range") {
      e.parentElement.querySelector("input[name]").value = e.value;
    } else if (e.name === "boost" || e.name === "shift") {
      const s = e.parentElement.querySelector("input[type=range]");
      if (s) s.value = e.value;
    } else return;
    this.guess();
  }

  // One look at a time; the newest settings win.
  async guess() {
    if (!this.ready) return;
    this.wanted = true;
    if (this.looking) return;
    this.looking = true;
    while (this.wanted) {
      this.wanted = false;
      const mine = ++this.seq;
      const began = performance.now();
      try {
        const a = await this.post("guess");
        if (a.ready && mine === this.seq) {
          this.show(a);
          this.how.textContent = "At a glance, while it moves.";
          box.dataset.took = String(Math.round(performance.now() - began));
          if (a.job) this.sharpen(a.job);
        }
      } catch (e) {
        this.how.textContent = e.message;
      }
    }
    this.looking = false;
  }

  tell(a) {
    const big = document.createElement("b");
    big.className = "big";
    const [first, ...rest] = a.line.split(" ");
    big.textContent = first;
    this.line.replaceChildren(big, " " + rest.join(" "));
    this.facts.replaceChildren(...a.facts.map((f) => {
      const d = document.createElement("div"), dt = document.createElement("dt"), dd = document.createElement("dd"), b = document.createElement("b");
      dt.textContent = f.name;
      b.textContent = f.value;
      dd.append(b);
      if (f.note) {
        const s = document.createElement("span");
        s.className = "soft";
        s.textContent = ", " + f.note;
        dd.append(s);
      }
      d.append(dt, dd);
      return d;
    }));
  }

  // What was written down keeps its own figures: settings are rounded as they are entered, and
  // worked out again they may differ in the last digit.
  show(a, kept) {
    this.last = a;
    if (!kept) this.tell(a);
    for (const row of form.querySelectorAll("[data-gear]")) {
      const g = a.gears.find((g) => String(g.gear) === row.dataset.gear);
      row.querySelector("[data-binds]").textContent = g ? g.binds : a.full ? "no limit near" : "";
      row.querySelector("[data-gains]").textContent = g ? g.gains : "";
    }
    const news = form.querySelector("[data-new]");
    if (a.full) {
      const words = [...a.said];
      if (a.not_run_before.length) words.unshift("Not run before: " + a.not_run_before.join("; ") + ".");
      if (a.refused) words.push("No card with these: " + a.refused);
      news.hidden = words.length === 0;
      news.replaceChildren(...words.flatMap((w, i) => (i ? [document.createElement("br"), w] : [w])));
    }
    this.outlook(a);
  }

  // The forecast as a bar of nine in ten, with the passes already run and the aim.
  outlook(a) {
    const best = Number(box.dataset.best), last = Number(box.dataset.last);
    if (!this.axis || a.p05 < this.axis[0] || a.p95 > this.axis[1]) {
      const all = [a.p05, a.p95, a.aim, best, last].filter((v) => v > 0);
      const pad = Math.max(1, 0.15 * (Math.max(...all) - Math.min(...all)));
      this.axis = [Math.floor(Math.min(...all) - pad), Math.ceil(Math.max(...all) + pad)];
    }
    const [lo, hi] = this.axis;
    const wide = this.art.parentElement.clientWidth || 600;
    const x = (v) => 8 + ((v - lo) / (hi - lo)) * (wide - 16);
    this.art.setAttribute("viewBox", `0 0 ${wide} 86`);
    const put = [];
    const add = (name, attributes, text) => {
      const e = document.createElementNS(NS, name);
      for (const [k, v] of Object.entries(attributes)) e.setAttribute(k, v);
      if (text) e.textContent = text;
      put.push(e);
    };
    add("path", { class: "zero", d: `M${x(lo)} 62H${x(hi)}`, fill: "none" });
    const step = [1, 2, 5, 10, 20, 50].find((s) => ((hi - lo) / s) * 44 < wide) || 100;
    for (let v = Math.ceil(lo / step) * step; v <= hi; v += step) {
      add("path", { class: "zero", d: `M${x(v)} 62V67` });
      const edge = v + step > hi ? "end" : v - step < lo ? "start" : "middle";
      if (edge === "middle" && wide - x(v) < 88 && v + 2 * step > hi) continue; // the last one has the unit
      add("text", { x: edge === "end" ? wide : edge === "start" ? 0 : x(v), y: 81, "text-anchor": edge }, String(v) + (edge === "end" ? " " + box.dataset.unit : ""));
    }
    add("rect", { class: "spread strong", x: x(a.p05), y: 34, width: Math.max(1, x(a.p95) - x(a.p05)), height: 20 });
    add("rect", { class: "bar", x: x(a.mean) - 2, y: 30, width: 4, height: 28 });
    const marks = [];
    const mark = (v, word) => {
      if (v > 0 && v >= lo && v <= hi) marks.push({ at: x(v), word });
    };
    if (a.aim) mark(a.aim, `aim ${a.aim.toFixed(0)}`);
    if (Math.abs(best - last) < 0.005) mark(last, `last ${last.toFixed(1)}, the best`);
    else {
      mark(last, `last ${last.toFixed(1)}`);
      mark(best, `best ${best.toFixed(1)}`);
    }
    // A word stands beside its line, right or left of it, where it meets no other word and no
    // other line; where it would, above them.
    marks.sort((a, b) => a.at - b.at);
    const set = [];
    for (const m of marks) {
      const long = 8 * m.word.length; // px, bold
      const spots = [25, 12].flatMap((y) => [m.at + 4, m.at - 4 - long].map((from) => ({ y, from, to: from + long })));
      const free = (s) => s.from >= 0 && s.to <= wide && !set.some((o) => o.y === s.y && o.from < s.to && s.from < o.to) &&
        (s.y < 25 || !marks.some((o) => o !== m && o.at > s.from - 4 && o.at < s.to + 4));
      const spot = spots.find(free) || spots.find((s) => s.y < 25 && s.from >= 0 && s.to <= wide) || spots[2];
      set.push(spot);
      const left = spot.from < m.at;
      add("path", { class: "errorbar", d: `M${m.at} ${spot.y + (spot.y < 25 ? 17 : 3)}V62`, "stroke-dasharray": "3 3" });
      add("text", { class: "value", x: m.at + (left ? -4 : 4), y: spot.y, "text-anchor": left ? "end" : "start" }, m.word);
    }
    this.art.replaceChildren(...put);
    this.art.removeAttribute("hidden");
  }

  reach(r) {
    if (!r) return;
    const digits = Math.max(0, Math.round(-Math.log10(r.step)));
    for (const row of form.querySelectorAll("[data-gear]")) {
      const g = Number(row.dataset.gear) - 1;
      for (const s of row.querySelectorAll("input[type=range]")) {
        const boost = s.dataset.for === "boost";
        const lim = boost ? r.boost[g] : r.shift[g];
        if (!lim) continue;
        const field = s.parentElement.querySelector("input[name]");
        const set = (boost ? r.set_boost : r.set_shift)[g];
        // Nobody has told the settings: what the forecast took from the logs stands here.
        if (field.value.trim() === "" && set !== undefined) field.value = boost ? set.toFixed(digits) : set;
        const v = Number(field.value);
        s.min = Math.min(lim[0], v);
        s.max = Math.max(lim[1], v);
        s.step = boost ? r.step : 10;
        s.value = v;
        s.hidden = false;
      }
      const ran = row.querySelector("[data-ran]");
      if (r.boost[g]) ran.textContent = `${r.boost[g][0].toFixed(digits)} to ${r.boost[g][1].toFixed(digits)}, run so far ${r.ran[g].toFixed(digits)}`;
    }
  }
}

if (box && form && box.dataset.may === "true") new Coming();
