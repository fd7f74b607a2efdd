// The meaning: verdict and picture, three numbers, one sentence; the rest on request.

import { el } from "./dom.js";
import { joules, three } from "./words.js";
import { explained, term, terms } from "./glossary.js";
import { pictures } from "./face.js";
import { dots } from "./dots.js";

/** Elements of the ledger below this share of the stored energy are lumped together. */
const SMALL = 0.008;

/** The word for what came of a weld. */
export const verdict_of = (weld) => weld.verdict ?? "discharge test";

/** Letters of a sentence from which the picture makes room for it on a projector. */
const LONG = 130;

/** Words for the colour of a verdict: `unsure` where another occurs within the spread or something else is wrong, `open` until the spread is known. */
export const tone = (weld) => [verdict_of(weld), weld.spread?.doubt || weld.but ? "unsure" : weld.spread ? "" : "open"].filter(Boolean).join(" ");

/** What a joint of the ledger does, in a word; none for one that holds. */
const DOES = { melts: " melts", parts: " arcs" };

/** Whether the reader has unfolded the rest; it stays so from weld to weld. */
let unfolded = false;

/** Fills `place` with the meaning of a weld, beside its base. */
export function meaning(place, weld, base) {
  const against = weld.against;
  const changed = against && against.changes.length > 0;
  const was = changed && base && verdict_of(base) !== verdict_of(weld) ? el("small", {}, `was ${verdict_of(base)}`) : null;
  const causes = changed ? sentences(against.why) : [weld.deciding];
  // What is missing on one side, or boils, tells more than what changed.
  const told = causes.length && ["cold", "sound"].includes(weld.verdict) ? causes[0] : weld.deciding;
  const holds = weld.holds ? paragraph(`${weld.holds[0].toUpperCase()}${weld.holds.slice(1)}.`) : null;
  const rest = [...(changed ? [[weld.deciding, ...causes].filter((text) => text !== told).join(" ")] : []), ...weld.remarks.slice(1), ...(changed ? [] : weld.reasons)];
  const parts = [
    el("h2", { class: `verdict ${tone(weld)}` }, verdict_of(weld),
      weld.but ? el("span", { class: "but" }, weld.but) : null, el("small", { id: "borderline", role: "status" }, border(weld)), was),
    pictures(weld),
    numbers(weld, changed ? base : null),
    el("div", { class: "sentence", role: "status" }, holds, paragraph(told), ...weld.remarks.slice(0, 1).map(paragraph)),
    weld.stage.bolted ? null : el("div", { id: "sure" }, dots(weld.spread, weld.verdict)),
    why(weld, changed, base, rest.filter(Boolean)),
  ];
  place.replaceChildren(...parts.filter(Boolean));
  measure(place, weld);
}

/** The picture gives way where sentence and doubt together are long. */
function measure(place, weld) {
  const sentence = place.querySelector(".sentence");
  const told = [...sentence.querySelectorAll("p")].at(weld.holds ? 1 : 0)?.textContent ?? "";
  sentence.classList.toggle("long", told.length + border(weld).length > LONG);
}

const border = (weld) => weld.spread?.doubt ?? "";

/** The verdict's colour and dots once the band is known. */
export function sure(place, weld) {
  place.querySelector("#borderline").textContent = border(weld);
  place.querySelector(".verdict").className = `verdict ${tone(weld)}`;
  place.querySelector("#sure")?.replaceChildren(dots(weld.spread, weld.verdict));
  measure(place, weld);
}

/** Sentences of a text; a point within a number or a command ends none. */
const sentences = (text) => text.split(/(?<=[.!?]) (?=[A-Z])/);

/** A sentence, in which `backticks` enclose a command: it goes, as a page has none. */
const prose = (text) => explained(uncommanded(text));
const uncommanded = (text) => sentences(text).filter((sentence) => !sentence.includes("`arcplunge")).join(" ").replaceAll("`", "");
const paragraph = (text) => el("p", {}, ...prose(text));
const said = (head, texts) => (texts.length ? el("p", {}, el("strong", {}, head), ...prose(texts.join(" "))) : null);

/** The three numbers that matter, each with what it was. */
function numbers(weld, base) {
  const f = weld.figures;
  const old = base?.figures;
  const left = (of) => (of.reserve_left == null ? "–" : of.reserve_left > 0 ? `${Math.round(100 * of.reserve_left)} %` : "none");
  const energy = (of) => (of.arc_energy_J == null ? "no arc" : joules(of.arc_energy_J));
  // Melt enough on the mean says nothing where the rim lacks some.
  const rim = f.fill_ratio >= 1 && f.rim_fill_min < 1;
  const ratio = (of) => ((rim ? of.rim_fill_min : of.fill_ratio)?.toFixed(2) ?? "–");
  const rows = weld.stage.bolted
    ? [[joules(f.stored_energy_J), "stored", old && joules(old.stored_energy_J)], [`${three(f.loop_resistance_ohm * 1e3)} mΩ`, "loop resistance", old && `${three(old.loop_resistance_ohm * 1e3)} mΩ`], [`${three(f.loop_inductance_H * 1e6)} µH`, "loop inductance", old && `${three(old.loop_inductance_H * 1e6)} µH`]]
    : [[energy(f), "in the arc", old && energy(old)], [ratio(f), term("fill", rim ? "least rim fill" : "fill, rim at 1"), old && ratio(old)], [left(weld), term("reserve"), base && left(base)]];
  return el("dl", { class: weld.stage.bolted ? "big of-test" : "big" }, ...rows.map(([value, name, before], k) => el("div", { class: k === 2 && weld.reserve_fell ? "fell" : "" },
    el("dt", {}, name), el("dd", { class: "number-now" }, value), el("dd", { class: "number-was" }, [before && before !== value ? `was ${before}` : "", k === 2 && weld.reserve_near ? `but ${weld.reserve_near}` : ""].filter(Boolean).join(", ")))));
}

/** What the reader may ask for: causes, remedy, signs, ledger, changes, figures. */
function why(weld, changed, base, rest) {
  const against = weld.against;
  const node = el("details", { id: "why", open: unfolded },
    el("summary", {}, "Why: remedy, ledger, figures"),
    el("div", { class: "why" },
      ...rest.map(paragraph),
      said("Remedy: ", changed ? against.remedy : []),
      said("Signs on the weld: ", changed ? against.seen : [])),
    ledger(weld, changed ? base : null),
    el("p", {}, ...prose(weld.rim.words)),
    changes(against),
    el("details", {}, el("summary", {}, "Figures"), figures(weld, changed ? base : null)),
    el("p", { class: "soft" }, "Terms: ", ...terms()));
  node.addEventListener("toggle", () => (unfolded = node.open));
  return node;
}

function changes(against) {
  if (!against || against.changes.length === 0) return null;
  return el("details", {}, el("summary", {}, `Changed: ${against.changes.length === 1 ? against.changes[0] : `${against.changes.length} keys`}`),
    el("ul", {}, ...against.changes.map((text) => el("li", {}, text))));
}

function figures(weld, base) {
  const old = Object.fromEntries(base?.list ?? []);
  const head = el("tr", {}, ...["", "now", base ? "base" : null].filter((t) => t !== null).map((t) => el("th", { scope: "col" }, t)));
  const rows = weld.list.map(([name, value]) => el("tr", {}, el("th", { scope: "row" }, name), el("td", {}, value), base ? el("td", { class: "soft" }, old[name] ?? "–") : null));
  return el("table", {}, el("thead", {}, head), el("tbody", {}, ...rows));
}
/** Bars of the ledger in the order of the loop; the base's behind them in grey. */
function ledger(weld, base) {
  const stored = weld.figures.stored_energy_J;
  const old = Object.fromEntries(base?.ledger ?? []);
  const burning = new Map(weld.joints.filter((j) => DOES[j.spot]).map((j) => [j.name, DOES[j.spot]]));
  const total = Math.max(stored, base?.figures.stored_energy_J ?? 0);
  const large = ([name, e]) => e > SMALL * total || (old[name] ?? 0) > SMALL * total || burning.has(name);
  const shown = weld.ledger.filter(large);
  for (const [name, e] of base?.ledger ?? []) {
    if (e > SMALL * total && !shown.some(([n]) => n === name)) shown.push([name, 0]);
  }
  const rest = weld.ledger.filter((row) => !large(row)).reduce((sum, [, e]) => sum + e, 0);
  if (Math.abs(rest) > 0.05) shown.push(["other", rest]);
  const most = Math.max(...shown.map(([name, e]) => Math.max(e, old[name] ?? 0)), 1e-9);
  const rows = shown.map(([name, e]) => {
    const bar = el("span", { class: "bar" });
    const behind = el("span", { class: "bar old" });
    bar.style.width = `${(100 * Math.max(0, e)) / most}%`;
    behind.style.width = `${(100 * (old[name] ?? 0)) / most}%`;
    const lit = burning.get(name);
    return el("tr", { class: lit ? "burning" : "" },
      el("th", { scope: "row" }, ...explained(name), lit ? el("small", {}, lit) : null),
      el("td", { class: "bars" }, base ? behind : null, bar),
      el("td", { class: "number" }, joules(e)));
  });
  const key = base ? el("span", { class: "key" }, "base") : null;
  return el("table", { class: "ledger" },
    el("caption", {}, `Where the ${three(stored)} J went `, key),
    el("tbody", {}, ...rows));
}
