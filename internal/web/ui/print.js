// The card goes on one sheet: before it is printed, its type is made as large as fits A4 and US
// Letter both. The style's print rules are switched on to measure.

const card = document.querySelector("article.card");
const mm = 96 / 25.4;
const sheet = { wide: 190 * mm, high: 256 * mm }; // A4 is the narrower, Letter the lower; 10 mm of margin
const largest = 1.2, smallest = 0.7; // times the sizes of the print rules

function* mediaRules(rules) {
  for (const r of rules) if (r instanceof CSSMediaRule) yield r;
}

// onPaper runs what measures with the print rules in force and those of the screen out of it.
function onPaper(measure) {
  const was = [];
  for (const s of document.styleSheets)
    for (const r of mediaRules(s.cssRules)) {
      was.push([r, r.media.mediaText]);
      r.media.mediaText = /print/.test(r.media.mediaText) ? "all" : "not all";
    }
  document.body.style.width = `${sheet.wide}px`;
  try {
    return measure();
  } finally {
    document.body.style.width = "";
    for (const [r, text] of was) r.media.mediaText = text;
  }
}

function fit() {
  const style = document.documentElement.style;
  onPaper(() => {
    for (let f = largest; ; f -= 0.02) {
      style.setProperty("--fit", f.toFixed(2));
      if (document.querySelector("main").scrollHeight <= sheet.high || f <= smallest + 0.001) break;
    }
    card.dataset.full = String(document.querySelector("main").scrollHeight > sheet.high);
  });
  document.querySelector("[data-toofull]").hidden = card.dataset.full !== "true";
}

if (card) {
  fit();
  addEventListener("beforeprint", fit);
}
