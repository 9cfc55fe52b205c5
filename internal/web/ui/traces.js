// The log's samples, opened as evidence: one row for each channel, grouped by the
// question that it answers, with one cursor and one stretch for all.

const box = document.querySelector("[data-traces]");

const plain = (v) => (v == null ? "" : String(+v.toPrecision(6)));
const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

class Traces {
  constructor(box) {
    this.box = box;
    this.address = box.dataset.traces;
    this.plots = [];
    this.axis = "x";
    this.sync = uPlot.sync("traces");
    this.out = box.querySelector("[data-plots]");
    this.state = box.querySelector("[data-tracestate]");
    box.querySelector("[data-axis]").addEventListener("change", (e) => {
      this.axis = e.target.value;
      this.whole();
    });
    box.querySelector("[data-whole]").addEventListener("click", () => this.whole());
    addEventListener("resize", () => {
      for (const p of this.plots) p.setSize({ width: this.width(), height: p.height });
    });
    this.out.addEventListener("keydown", (e) => this.key(e));
  }

  width() {
    return Math.max(240, this.out.clientWidth);
  }

  async fetch(from, to) {
    const u = new URL(this.address, location.href);
    u.searchParams.set("points", String(Math.min(4000, Math.round(this.width() * 2 * Math.min(devicePixelRatio, 2)))));
    if (from !== undefined) {
      u.searchParams.set("from", from);
      u.searchParams.set("to", to);
    }
    const r = await fetch(u, { headers: { Accept: "application/json" } });
    const answer = await r.json();
    if (!r.ok) throw new Error(answer.error);
    return answer;
  }

  async whole() {
    this.state.textContent = "Reading the log…";
    try {
      this.data = await this.fetch();
      this.full = [this.data.from_s, this.data.to_s];
      this.draw();
      this.state.textContent = `${this.data.rows.length} channels.`;
    } catch (e) {
      this.state.textContent = e.message;
    }
  }

  unit() {
    return this.axis === "x" ? this.data.distance_unit : "s";
  }

  // unit of the axis at a pin or band
  at(p) {
    return this.axis === "x" ? p.x : p.t_s;
  }

  range() {
    const d = this.data;
    if (this.axis === "t") return [d.from_s, d.to_s];
    return [0, d.end];
  }

  draw() {
    for (const p of this.plots) p.destroy();
    this.plots = [];
    this.out.replaceChildren();
    const wide = this.range();
    let group = null;
    let title = null;
    for (const set of this.alike(this.data.rows)) {
      const row = set[0];
      if (row.question !== title) {
        title = row.question;
        group = document.createElement("details");
        group.className = "tracegroup";
        group.open = this.out.childElementCount === 0;
        const s = document.createElement("summary");
        s.textContent = title;
        group.append(s);
        this.out.append(group);
      }
      const rowBox = document.createElement("div");
      rowBox.className = "tracerow";
      const name = document.createElement("p");
      name.className = "tracename";
      const what = document.createElement("span");
      what.textContent = this.nameOf(set) + (row.unit ? ", " + row.unit : "");
      name.append(what);
      const now = set.map((r, i) => {
        const s = document.createElement("span");
        s.className = `now c${i + 1}`;
        name.append(s);
        return s;
      });
      rowBox.append(name);
      group.append(rowBox);
      this.plots.push(this.plot(set, rowBox, now, wide));
    }
  }

  // Channels of one kind share a plot: the four wheels, the banks, the cylinders.
  alike(rows) {
    const sets = [];
    const stem = (r) => r.quantity.replace(/ (\d+|fl|fr|rl|rr)$/, "");
    for (const r of rows) {
      const s = sets.find((s) => r.quantity && s[0].question === r.question && stem(s[0]) === stem(r) && s[0].unit === r.unit && s.length < 6);
      if (s) s.push(r);
      else sets.push([r]);
    }
    return sets;
  }

  nameOf(set) {
    const r = set[0];
    if (set.length > 1) return r.quantity.replace(/ (\d+|fl|fr|rl|rr)$/, "");
    if (!r.quantity || r.quantity.toLowerCase() === r.name.toLowerCase()) return r.name;
    return r.quantity + " (" + r.name + ")";
  }

  columns(row) {
    if (this.axis === "t") return [row.t_s, row.v];
    // Distance stands still before the launch; what lies there has no place on the strip.
    const x = [], v = [];
    for (let i = 0; i < row.x.length; i++) {
      if (row.t_s[i] >= 0 && (x.length === 0 || row.x[i] >= x[x.length - 1])) {
        x.push(row.x[i]);
        v.push(row.v[i]);
      }
    }
    return [x, v];
  }

  table(set) {
    const cols = set.map((r) => this.columns(r));
    return cols.length === 1 ? cols[0] : uPlot.join(cols, cols.map(() => [0, 1]));
  }

  plot(set, where, now, [min, max]) {
    const row = set[0];
    const ink = css("--soft"), grid = css("--grid");
    const axis = { stroke: ink, grid: { stroke: grid, width: 1 }, ticks: { stroke: grid, width: 1 }, font: "12px sans-serif" };
    const p = new uPlot({
      width: this.width(), height: 120, legend: { show: false }, padding: [8, 6, 0, 0],
      cursor: { sync: { key: "traces", scales: ["x", null] }, drag: { x: true, y: false, setScale: false }, y: false, points: { size: 7 } },
      scales: { x: { time: false, min, max } },
      axes: [{ ...axis, size: 26, values: (u, v) => v.map((x, i) => plain(x) + (i === v.length - 1 ? " " + this.unit() : "")) }, { ...axis, size: 58, space: 28, values: (u, v) => v.map(plain) }],
      series: [{}, ...set.map((r, i) => ({ stroke: css(`--p${i + 1}`), width: 1.4, spanGaps: true, points: { show: false } }))],
      hooks: {
        drawClear: [(u) => this.bands(u)],
        draw: [(u) => this.pins(u)],
        setCursor: [(u) => {
          now.forEach((n, k) => {
            const i = u.cursor.idxs?.[k + 1] ?? u.cursor.idx;
            const v = i == null ? null : u.data[k + 1][i];
            n.textContent = (set.length > 1 ? set[k].name + " " : "") + (v == null ? "" : String(v));
          });
        }],
        setSelect: [(u) => {
          if (u.select.width > 4) this.zoom(u.posToVal(u.select.left, "x"), u.posToVal(u.select.left + u.select.width, "x"));
          u.setSelect({ left: 0, top: 0, width: 0, height: 0 }, false);
        }],
      },
    }, this.table(set), where);
    p.over.tabIndex = 0;
    p.over.setAttribute("role", "img");
    p.over.setAttribute("aria-label", this.nameOf(set) + " along the pass");
    p.set = set;
    this.sync.sub(p);
    now.forEach((n, k) => { n.textContent = set.length > 1 ? set[k].name : ""; });
    return p;
  }

  // gear bands behind the line
  bands(u) {
    const c = u.ctx;
    c.save();
    for (const g of this.data.gears) {
      const [a, b] = this.axis === "x" ? [g.from, g.to] : [g.from_s, g.to_s];
      const l = Math.max(u.valToPos(a, "x", true), u.bbox.left);
      const r = Math.min(u.valToPos(b, "x", true), u.bbox.left + u.bbox.width);
      if (r <= l) continue;
      c.fillStyle = css(g.gear % 2 ? "--band0" : "--band1");
      c.fillRect(l, u.bbox.top, r - l, u.bbox.height);
    }
    c.restore();
  }

  // the gear's number on its band, over the line and kept clear of it
  numbers(u) {
    const c = u.ctx;
    c.save();
    c.font = `bold ${12 * devicePixelRatio}px sans-serif`;
    c.textAlign = "center";
    c.lineJoin = "round";
    c.lineWidth = 5 * devicePixelRatio;
    for (const g of this.data.gears) {
      const [a, b] = this.axis === "x" ? [g.from, g.to] : [g.from_s, g.to_s];
      const l = Math.max(u.valToPos(a, "x", true), u.bbox.left);
      const r = Math.min(u.valToPos(b, "x", true), u.bbox.left + u.bbox.width);
      if (r - l <= 14 * devicePixelRatio) continue;
      const at = [String(g.gear), (l + r) / 2, u.bbox.top + 13 * devicePixelRatio];
      c.strokeStyle = css(g.gear % 2 ? "--band0" : "--band1");
      c.strokeText(...at);
      c.fillStyle = css("--ink");
      c.fillText(...at);
    }
    c.restore();
  }

  pins(u) {
    this.numbers(u);
    const c = u.ctx;
    c.save();
    const line = (p, colour, dash, wide) => {
      const x = u.valToPos(this.at(p), "x", true);
      if (x < u.bbox.left || x > u.bbox.left + u.bbox.width) return null;
      c.strokeStyle = colour;
      c.lineWidth = wide * devicePixelRatio;
      c.setLineDash(dash.map((d) => d * devicePixelRatio));
      c.beginPath();
      c.moveTo(x, u.bbox.top);
      c.lineTo(x, u.bbox.top + u.bbox.height);
      c.stroke();
      return x;
    };
    for (const p of this.data.shifts) line(p, css("--soft"), [2, 4], 1);
    c.font = `600 ${12 * devicePixelRatio}px sans-serif`;
    for (const p of this.data.findings) {
      const x = line(p, css("--ink"), [], 2);
      if (x === null) continue;
      c.fillStyle = css("--ink");
      const left = x > u.bbox.left + u.bbox.width * 0.7;
      c.textAlign = left ? "right" : "left";
      c.fillText(p.text, x + (left ? -5 : 5) * devicePixelRatio, u.bbox.top + u.bbox.height - 6 * devicePixelRatio);
    }
    c.restore();
  }

  // time of a value of the axis, s from launch
  timeOf(v) {
    if (this.axis === "t") return v;
    let best = null;
    for (const row of this.data.rows) if (!best || row.x.length > best.x.length) best = row;
    for (let i = 1; i < best.x.length; i++) {
      if (best.x[i] >= v && best.t_s[i] >= 0) {
        const d = best.x[i] - best.x[i - 1];
        return best.t_s[i - 1] + (d > 0 ? ((v - best.x[i - 1]) / d) * (best.t_s[i] - best.t_s[i - 1]) : 0);
      }
    }
    return this.full[1];
  }

  // A closer look asks the server for the stretch again, at the finer grain.
  async zoom(min, max) {
    for (const p of this.plots) p.setScale("x", { min, max });
    const ask = (this.asked = Symbol());
    try {
      const d = await this.fetch(this.timeOf(min), this.timeOf(max));
      if (ask !== this.asked) return;
      const rows = new Map(d.rows.map((r) => [r.name, r]));
      for (const p of this.plots) {
        const fresh = p.set.map((r) => rows.get(r.name)).filter(Boolean);
        if (fresh.length === p.set.length) {
          p.setData(this.table(fresh), false);
          p.setScale("x", { min, max });
        }
      }
    } catch (e) {
      this.state.textContent = e.message;
    }
  }

  key(e) {
    const p = this.plots[0];
    if (!p || !e.target.classList.contains("u-over")) return;
    const { min, max } = p.scales.x;
    const span = max - min, [lo, hi] = this.range();
    const step = { ArrowLeft: -0.2, ArrowRight: 0.2 }[e.key];
    if (step) {
      const d = Math.max(lo - min, Math.min(hi - max, step * span));
      this.zoom(min + d, max + d);
    } else if (e.key === "+" || e.key === "=") this.zoom(min + span / 4, max - span / 4);
    else if (e.key === "-") {
      const a = Math.max(lo, min - span / 2), b = Math.min(hi, max + span / 2);
      this.zoom(a, b);
    } else if (e.key === "Home") this.whole();
    else return;
    e.preventDefault();
  }
}

if (box) {
  let shown = null;
  const open = () => {
    if (box.open && !shown) {
      shown = new Traces(box);
      shown.whole();
    }
  };
  box.addEventListener("toggle", open);
  open();
}
