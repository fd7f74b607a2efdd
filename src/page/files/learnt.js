// What test welds say: where to set the voltage, how sure that is, which weld does not fit, and the next one.

import { el, svg } from "./dom.js";
import { round_step } from "./curves.js";
import { plain_words } from "./complaint.js";

/** The picture's height, and room at its left and right, above and below [px]. */
const [TALL, MARGIN, BRIM, SOLE] = [190, 40, 30, 42];

/** The answer beside the table; `act` can `next(values)` and `use(sets)`. */
export function learnt(answer, wide, act) {
  const { told, found, welds } = answer;
  const [, , best] = told.setting[0];
  const [, before, after] = told.setting[1];
  const head = best === "nowhere" ? "None of the rigs that fit these welds welds soundly at any voltage."
    : `Set the voltage to ${best}: sound there on ${after} that fit; before the welds on ${before} at ${told.setting[0][1]}.`;
  return [
    el("p", { class: "verdict-line" }, el("strong", {}, head)),
    told.doubt ? el("p", { class: "soft" }, "The samples are too few to trust the ends of the ranges: arcplunge calibrate --particles takes more of them.") : null,
    window_of(answer, wide),
    el("div", { class: "beside" }, told_table(["", "before", "after"], told.setting, "The window"), advice(told, act)),
    ...told.suspects.map(([line, words]) => el("p", { class: "suspect" }, el("strong", {}, `Weld ${line - 1} `), words)),
    told.suspects.length ? el("p", { class: "soft" }, "Such a weld counts for little. Weld it again before you strike it out.") : null,
    told.learnt.length ? el("details", {}, el("summary", {}, "What the welds say of the rig"), told_table(["", "before", "after", "spread left"], told.learnt, "Figures")) : null,
    use(answer, act),
    el("p", { class: "soft" }, `Ranges hold nine tenths of what is possible, by the model's own laws, from ${welds} welds and ${found.sampling.particles} samples; on each rig single welds scatter as well. A verdict is a screen; test welds decide.`),
  ].filter(Boolean);
}

function told_table(head, rows, caption) {
  return el("table", { class: "told" }, el("caption", {}, caption),
    el("thead", {}, el("tr", {}, ...head.map((text) => (text ? el("th", { scope: "col" }, text) : el("td", {}))))),
    el("tbody", {}, ...rows.map(([name, ...cells]) => el("tr", {}, el("th", { scope: "row" }, name), ...cells.map((text) => el("td", {}, text))))));
}

/** The weld worth making next: pressed, it sets the page. */
function advice(told, act) {
  const next = told.next[0];
  if (!next) return told.enough ? el("p", {}, told.enough) : null;
  const what = next.values.map(([, , short]) => short).join(", ");
  return el("div", { class: "next" },
    el("h3", {}, "Weld this next"),
    el("p", {}, el("button", { type: "button", id: "next-weld", onclick: () => act.next(next.values.map(([key, text]) => [key, text])) }, `Set the page to ${what}`)),
    el("p", { class: "soft" }, `What may come out: ${next.outcomes.slice(0, 3).map(([words, chance]) => `${words} (${chance})`).join("; ")}.`),
    told.enough ? el("p", {}, told.enough) : null);
}

function use({ sets }, act) {
  if (sets.Err) return el("p", { class: "soft" }, `The learnt values together are no valid case: ${plain_words(sets.Err)}`);
  return el("p", {}, el("button", { type: "button", id: "use-calibrated", onclick: () => act.use(sets.Ok) }, "Use the calibrated rig on this page"));
}

/** Chance of a sound weld over the voltage, before the welds and after, with the ends of the window as bars. */
function window_of({ found, at, set }, wide) {
  const { before, after } = found.window;
  const known = [...at, set, ...[before, after].flatMap((w) => [w.low?.p5, w.high?.p95])].filter((v) => v != null);
  const [low, high] = [Math.min(...known) - 5, Math.max(...known) + 5];
  const x = (v) => MARGIN + ((wide - MARGIN - 10) * (v - low)) / (high - low);
  const y = (share) => BRIM + (TALL - BRIM - SOLE) * (1 - share);
  const line = ({ values, sound }) => {
    const points = values.map((v, k) => [v, sound[k]]).filter(([v]) => v >= low && v <= high);
    return points.map(([v, s], k) => `${k ? "L" : "M"}${x(v).toFixed(1)} ${y(s).toFixed(1)}`).join("");
  };
  const floor = `L${x(Math.min(high, before.values.at(-1))).toFixed(1)} ${y(0)}L${x(Math.max(low, before.values[0])).toFixed(1)} ${y(0)}Z`;
  const by = round_step(high - low, 5);
  const ticks = [];
  for (let v = Math.ceil(low / by) * by; v <= high; v += by) {
    ticks.push(svg("line", { class: "axis", x1: x(v), x2: x(v), y1: y(0), y2: y(0) + 4 }), svg("text", { class: "tick", x: x(v), y: y(0) + 15, "text-anchor": "middle" }, `${v}`));
  }
  const bar = (range, css, row) => (range ? [svg("rect", { class: `end ${css}`, x: x(range.p5), width: Math.max(2, x(range.p95) - x(range.p5)), y: y(0) + 20 + 9 * row, height: 7, rx: 3 })] : []);
  const ends = [[before, "old", 0], [after, "now", 1]].flatMap(([w, css, row]) => [...bar(w.low, css, row), ...bar(w.high, css, row)]);
  const shares = [0, 0.5, 1].flatMap((s) => [svg("line", { class: "axis", x1: MARGIN, x2: wide - 10, y1: y(s), y2: y(s) }), svg("text", { class: "tick", x: MARGIN - 5, y: y(s) + 4, "text-anchor": "end" }, `${100 * s} %`)]);
  const dots = at.map((v) => svg("path", { class: "made", d: `M${x(v)} ${y(0) - 1}l-4 -8h8Z` }));
  const now = [svg("line", { class: "cursor", x1: x(set), x2: x(set), y1: BRIM - 8, y2: y(0) }), svg("text", { class: "tick", x: x(set), y: BRIM - 11, "text-anchor": x(set) > wide - 60 ? "end" : "middle" }, `set ${Number(set.toPrecision(4))} V`)];
  const words = (w) => (w.low ? `begins at ${w.low.p5.toFixed(0)} to ${w.low.p95.toFixed(0)} V and ends at ${w.high.p5.toFixed(0)} to ${w.high.p95.toFixed(0)} V` : "is nowhere");
  const picture = svg("svg", { class: "window", role: "img", viewBox: `0 0 ${wide} ${TALL}`, width: wide, height: TALL,
    "aria-label": `Chance of a sound weld over the voltage. Before the welds the window ${words(before)}, after them it ${words(after)}.` },
    ...shares, ...ticks, svg("path", { class: "prior", d: line(before) + floor }), svg("path", { class: "curve blue", d: line(after) }), ...dots, ...now, ...ends);
  return el("figure", {}, el("figcaption", { class: "legend" }, el("span", { class: "soft" }, "share of the rigs on which the weld is sound, over the voltage [V]: "),
    el("span", { class: "key" }, "before"), el("span", { class: "key now" }, "after the welds"), el("span", {}, "▼ welds made; bars: where the window begins and ends")), picture);
}
