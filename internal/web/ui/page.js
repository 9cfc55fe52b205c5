// Comfort on top of pages that work without it: dropping a log anywhere, progress
// without reloading, checks while one types, ticks kept at once.

const json = { headers: { Accept: "application/json" } };

async function ask(address, options = {}) {
  const r = await fetch(address, { ...json, ...options });
  const answer = await r.json().catch(() => ({ error: "The answer could not be read." }));
  if (!r.ok) throw new Error(answer.error || "That did not work.");
  return answer;
}

function trouble(text) {
  let p = document.querySelector("main > p.trouble");
  if (!p) {
    p = document.createElement("p");
    p.className = "trouble";
    p.setAttribute("role", "alert");
    document.querySelector("main").prepend(p);
  }
  p.textContent = text;
}

// Dropping.
const form = document.querySelector("form[data-drop]");
if (form) {
  const state = form.querySelector("[data-progress]");
  const send = (data) => {
    state.textContent = "Sending…";
    const x = new XMLHttpRequest();
    x.open("POST", form.action);
    x.setRequestHeader("Accept", "application/json");
    x.responseType = "json";
    x.upload.onprogress = (e) => {
      if (e.lengthComputable) state.textContent = `Sent ${Math.round((100 * e.loaded) / e.total)} %`;
    };
    x.onload = () => {
      if (x.status < 300 && x.response) location.href = x.response.at;
      else {
        state.textContent = "";
        trouble((x.response && x.response.error) || "The file was not taken.");
      }
    };
    x.onerror = () => {
      state.textContent = "";
      trouble("The program does not answer. Is it still running?");
    };
    x.send(data);
  };
  form.addEventListener("submit", (e) => {
    e.preventDefault();
    send(new FormData(form));
  });
  form.querySelector("input[type=file]").addEventListener("change", () => form.requestSubmit());
  let depth = 0;
  const files = (e) => [...(e.dataTransfer?.types || [])].includes("Files");
  addEventListener("dragenter", (e) => {
    if (files(e)) document.body.classList.toggle("over", ++depth > 0);
  });
  addEventListener("dragleave", (e) => {
    if (files(e)) document.body.classList.toggle("over", --depth > 0);
  });
  addEventListener("dragover", (e) => files(e) && e.preventDefault());
  addEventListener("drop", (e) => {
    if (!files(e)) return;
    e.preventDefault();
    depth = 0;
    document.body.classList.remove("over");
    const data = new FormData();
    const car = form.querySelector("select[name=car]");
    if (car) data.append("car", car.value);
    for (const f of e.dataTransfer.files) data.append("file", f);
    send(data);
  });
}

// Progress. The page asks for itself again every two seconds; that is stopped here.
const work = document.querySelector("[data-work]");
if (work) {
  document.querySelector("meta[http-equiv=refresh]")?.remove();
  const doing = document.querySelector("[data-doing]");
  const bar = document.querySelector("[data-bar]");
  const look = async () => {
    try {
      const j = await ask("/api/v1/jobs/" + work.dataset.work);
      if (j.finished) {
        if (j.error) location.reload();
        else location.replace(j.goto || "/");
        return;
      }
      doing.textContent = j.of > 1 ? `${j.doing} (${j.done + 1} of ${j.of})` : j.doing;
      if (j.of > 1) {
        bar.max = j.of;
        bar.value = j.done;
      } else bar.removeAttribute("value");
    } catch (e) {
      trouble(e.message);
    }
    setTimeout(look, 300);
  };
  look();
}

// The sheet is checked while one types.
const sheet = document.querySelector("form[data-sheet] textarea:not([readonly])");
if (sheet) {
  const out = document.querySelector("[data-checked]");
  let timer;
  const check = async () => {
    try {
      const r = await ask("/api/v1/check" + (sheet.form.dataset.sheet ? "?kind=" + sheet.form.dataset.sheet : ""), { method: "POST", body: sheet.value, headers: { ...json.headers, "Content-Type": "text/plain" } });
      out.replaceChildren();
      if (r.wrong.length === 0) {
        out.textContent = "Every line is understood.";
        sheet.removeAttribute("aria-invalid");
        return;
      }
      sheet.setAttribute("aria-invalid", "true");
      const list = document.createElement("ul");
      for (const w of r.wrong) {
        const li = document.createElement("li");
        li.className = "bad";
        li.textContent = w;
        list.append(li);
      }
      out.append(list);
    } catch (e) {
      out.textContent = e.message;
    }
  };
  sheet.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(check, 300);
  });
  sheet.addEventListener("keydown", (e) => {
    // Two blanks for a tab would catch the keyboard; Tab keeps moving on.
    if (e.key === "s" && (e.ctrlKey || e.metaKey)) {
      e.preventDefault();
      sheet.form.requestSubmit();
    }
  });
}

// Ticks are kept at once.
const round = document.querySelector("form[data-round]");
if (round) {
  round.addEventListener("change", async () => {
    try {
      const r = await ask(round.action, { method: "POST", body: new URLSearchParams(new FormData(round)) });
      document.querySelector("[data-left]").textContent = r.missing ? `${r.missing} to do.` : "All done.";
    } catch (e) {
      trouble(e.message);
    }
  });
}

document.querySelector("[data-print]")?.addEventListener("click", () => print());

// Escape closes the innermost of what is open around the keyboard and goes back to its line.
// A list that is being chosen from keeps its own.
addEventListener("keydown", (e) => {
  const at = document.activeElement;
  if (e.key !== "Escape" || e.defaultPrevented || at?.matches("select")) return;
  const open = at?.closest("details[open]");
  if (!open) return;
  open.open = false;
  open.querySelector("summary").focus();
});

// What is still being worked out is shown when it is there.
for (const wait of document.querySelectorAll("[data-wait]")) {
  const at = setInterval(async () => {
    try {
      const j = await ask("/api/v1/jobs/" + wait.dataset.wait);
      if (!j.finished) return;
      clearInterval(at);
      const text = await (await fetch(location.href)).text();
      const fresh = new DOMParser().parseFromString(text, "text/html");
      const section = wait.closest("section");
      const id = "[aria-labelledby=" + section.getAttribute("aria-labelledby") + "]";
      section.replaceWith(fresh.querySelector(id));
    } catch {
      clearInterval(at);
    }
  }, 700);
}

// A log that a watched folder brings shows without a hand on the keyboard: first how far it
// is, then its answers. Whoever is typing or ticking is not taken away.
const day = document.querySelector("[data-passes]");
if (day) {
  const line = document.querySelector("[data-brought]");
  const busy = () => document.querySelector("main :checked:not(option)") || document.activeElement?.matches("main input:not([type=file]), main textarea, main select");
  let seen; // finished before this page was opened
  const tell = (text, to) => {
    line.hidden = !text;
    line.replaceChildren(text || "");
    if (to) {
      const a = document.createElement("a");
      a.href = to;
      a.className = "go";
      a.textContent = "See its answers";
      line.append(" ", a);
    }
  };
  const look = async () => {
    try {
      const all = (await ask("/api/v1/jobs")).filter((j) => j.watched);
      seen ??= new Set(all.filter((j) => j.finished).map((j) => j.id));
      const j = all.filter((j) => !seen.has(j.id)).pop();
      if (j && !j.finished) tell(`The watched folder brought a log: ${j.doing}${j.of > 1 ? ` (${j.done + 1} of ${j.of})` : ""}…`);
      else if (j) {
        seen.add(j.id);
        if (j.error) tell(j.error, j.goto);
        else {
          tell("The watched folder brought a log.", j.goto);
          if (!busy() && !document.hidden) location.href = j.goto;
        }
      }
    } catch {
      // The program was ended; the page stays as it is.
    }
    setTimeout(look, document.hidden ? 3000 : 700);
  };
  look();
}
