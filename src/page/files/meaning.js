// The meaning: verdict, cause, remedy, ledger, rim.

import { el } from "./dom.js";
import { joules, three } from "./words.js";
import { rim } from "./rim.js";

/** Elements of the ledger below this share of the stored energy are lumped together. */
const SMALL = 0.008;

const verdict = (weld) => weld.verdict ?? "discharge test";

/** What a joint of the ledger does, in a word; none for one that holds. */
const DOES = { melts: " melts", parts: " arcs" };

/** Fills `place` with the meaning of a weld, beside its base. */
export function meaning(place, weld, base) {
  const against = weld.against;
  const changed = against && against.changes.length > 0;
  const was = changed && base && verdict(base) !== verdict(weld) ? el("small", {}, `was ${verdict(base)}`) : null;
  const remedy = changed ? against.remedy : [];
  const seen = changed ? against.seen : [];
  const parts = [
    el("h2", { class: `verdict ${verdict(weld)}` }, verdict(weld), weld.but ? el("span", { class: "but" }, weld.but) : null, was,
      weld.reserve ? el("small", { class: weld.reserve_fell ? "unsure" : "", title: weld.fill }, weld.reserve) : null,
      el("small", { id: "borderline", class: "unsure", role: "status" }, weld.borderline ?? "")),
    el("div", { class: "why", role: "status" },
      paragraph(weld.deciding),
      ...weld.remarks.map(paragraph),
      ...(changed ? [against.why] : weld.reasons).map(paragraph),
      said("Remedy: ", remedy)),
    changes(against),
    ledger(weld, changed ? base : null),
    el("h3", {}, "Rim, seen from above"),
    rim(weld),
    said("Signs on the weld: ", seen),
    el("p", { class: "soft" }, weld.rim.words),
    el("details", {}, el("summary", {}, "Figures"), figures(weld, changed ? base : null), el("p", { class: "soft" }, weld.fill)),
  ];
  place.replaceChildren(...parts.filter((part) => part));
}

/** A sentence, in which `backticks` enclose a command. */
const prose = (text) => text.split("`").map((part, k) => (k % 2 ? el("code", {}, part) : part));
const paragraph = (text) => el("p", {}, ...prose(text));
const said = (head, texts) => (texts.length ? el("p", {}, el("strong", {}, head), ...prose(texts.join(" "))) : null);

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
      el("th", { scope: "row" }, name, lit ? el("small", {}, lit) : null),
      el("td", { class: "bars" }, base ? behind : null, bar),
      el("td", { class: "number" }, joules(e)));
  });
  const key = base ? el("span", { class: "key" }, "base") : null;
  return el("table", { class: "ledger" },
    el("caption", {}, `Where the ${three(stored)} J went `, key),
    el("tbody", {}, ...rows));
}
