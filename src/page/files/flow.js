// The joules on their way: a ribbon from the bank that narrows at each loss, to what reaches the faces.

import { el, put, svg } from "./dom.js";
import { still } from "./motion.js";
import { control_of, reveal } from "./reveal.js";
import { joules, ms } from "./words.js";

/** Parts of the loop: words, the entries of the ledger, the control that changes it. */
const PARTS = [
  ["in the bank", /^(bank ESR|switch|diode|internal wiring)$/, "bank.esr"],
  ["bank terminal", /^bank terminal$/, "joints.bank"],
  ["gun lead", /^gun lead$/, "lead.length"],
  ["tool terminal", /^tool terminal$/, "joints.tool"],
  ["chuck", /^chuck$/, "joints.chuck"],
  ["earth leads", /^earth \d lead$/, "earth.N.length"],
  ["earth clamps", /^earth \d (terminal|clamp)$/, "earth.N.clamp"],
  ["pip", /^pip$/, "stud.pip_diameter"],
  ["light, spatter", /^arc to light/, null],
  ["bolted short", /^bolted short$/, null],
];
const USEFUL = /^arc to (stud|sheet)$/;
const OTHER = "other";

/** Room of the drawing [px]: its height, the ribbon's top and full width, bends, ends at the left and the right. */
const RIBBON = { high: 52, top: 3, wide: 30, bend: 6, left: 54, right: 92, least: 74 };

/** The same in a narrow page. */
const NARROW_RIBBON = { ...RIBBON, left: 40, right: 60, least: 50 };
const NARROW_PAGE = 480;

/** A loss below this share of the stored energy is lumped with the others. */
const SLIGHT = 0.012;

/** What was lost where, in order, and what was useful, over the rows; the last is the ledger's. */
class Joules {
  constructor(weld, most) {
    this.weld = weld;
    this.stored = weld.figures.stored_energy_J;
    const lit = new Map(weld.joints.filter((j) => j.parts_s != null || j.spot === "melts").map((j) => [j.name, j]));
    const entries = weld.ledger.map(([name, e]) => ({ name, e }));
    const sum = (list) => list.reduce((all, entry) => all + entry.e, 0);
    const take = (words, test, key) => {
      const list = entries.filter(({ name }) => test.test(name));
      return { words, key, list, e: sum(list), lit: list.map(({ name }) => lit.get(name)).find(Boolean) };
    };
    const all = PARTS.map(([words, test, key]) => take(words, test, key));
    this.useful = take("metal", USEFUL);
    this.arc = sum(entries.filter(({ name }) => name.startsWith("arc")));
    // The smallest give way where there is no room for all.
    const ranked = all.filter((p) => p.lit || p.e > SLIGHT * this.stored).sort((a, b) => (b.lit ? 1 : 0) - (a.lit ? 1 : 0) || b.e - a.e);
    const shown = new Set(ranked.slice(0, Math.max(1, most - 1)));
    this.losses = all.filter((p) => shown.has(p));
    const rest = this.stored - this.useful.e - sum(this.losses);
    if (rest > 0.002 * this.stored) this.losses.push({ words: OTHER, key: null, list: [{ name: OTHER, e: rest }], e: rest });
  }

  /** Joules of a part up to a time. */
  until(part, t) {
    return part.list.reduce((all, { name, e }) => all + e * this.weld.grown(name, t), 0);
  }
}

export class Flow {
  constructor(place) {
    this.words = el("p", { class: "soft" });
    this.root = svg("svg", { "aria-hidden": "true" });
    this.labels = el("div", { class: "parts" });
    place.append(this.words, this.root, this.labels);
    this.place = place;
    new ResizeObserver(() => this.layout()).observe(place);
  }

  show(weld, base) {
    [this.weld, this.base] = [weld, base];
    this.layout();
  }

  layout() {
    if (!this.weld) return;
    this.wide = Math.max(240, this.root.parentNode.clientWidth - 24);
    this.room = this.wide < NARROW_PAGE ? NARROW_RIBBON : RIBBON;
    const { left, right, wide, high, least } = this.room;
    const span = this.wide - left - right;
    const most = Math.max(2, Math.floor(span / least));
    this.joules = new Joules(this.weld, most);
    const old = this.base ? new Joules(this.base, 99) : null;
    this.before = old ? new Map(old.losses.map((p) => [p.words, p.e])) : null;
    const { losses, useful, stored, arc } = this.joules;
    this.scale = wide / stored;
    this.step = span / losses.length;
    put(this.root, { viewBox: `0 0 ${this.wide} ${high}`, width: this.wide, height: high });
    const band = (css) => svg("path", { class: css });
    this.ghosts = [...losses.map(() => band("ghost-band")), band("ghost-band")];
    this.bands = [...losses.map((p) => band(p.lit ? "lost lit" : "lost")), band("useful")];
    this.spark = svg("path", { class: "spark" });
    const bank = svg("path", { class: "bank", d: `M2 ${high / 2}H${left / 2 - 3}M${left / 2 - 3} 6V${high - 6}M${left / 2 + 4} 6V${high - 6}M${left / 2 + 4} ${high / 2}H${left}` });
    this.root.replaceChildren(bank, ...this.ghosts, ...this.bands, this.spark);
    this.draw(this.ghosts, losses.map((p) => p.e), useful.e);
    this.labels.replaceChildren(this.label("bank", joules(stored), 0, left, null), ...losses.map((p, k) => this.loss(p, k)),
      this.weld.stage.bolted ? "" : this.label(this.room === RIBBON ? "into the faces" : "faces", joules(useful.e), this.wide - right, right, null, "useful"));
    const was = old ? ` (base: ${joules(old.arc)}, ${joules(old.useful.e)})` : "";
    this.words.textContent = this.weld.stage.bolted
      ? `All ${joules(stored)} stay in the circuit: a discharge test`
      : `${joules(arc)} of ${joules(stored)} reached the arc, ${joules(useful.e)} the faces${was}`;
    if (this.time !== undefined) this.at(this.time);
  }

  /** The words under a loss: a button that opens its control, where there is one. */
  loss(part, k) {
    const base = this.before && part.words !== OTHER ? this.before.get(part.words) : undefined;
    const more = base !== undefined && Math.abs(base - part.e) > 0.01 * this.joules.stored;
    const note = more ? `, base ${joules(base)}` : part.lit?.parts_s != null ? `, parts at ${ms(part.lit.parts_s)}` : "";
    return this.label(part.words, joules(part.e), this.room.left + this.step * k, this.step, part.key, part.lit ? "lit" : "", note);
  }

  label(words, value, x, width, key, css = "", note = "") {
    const inside = [el("b", {}, value), el("span", {}, words)];
    const there = key && control_of(key);
    const node = there
      ? el("button", { type: "button", class: css, title: `${words}: ${value}${note}. Opens its control`, onclick: () => reveal(there) }, ...inside)
      : el("span", { class: css, title: `${words}: ${value}${note}` }, ...inside);
    node.style.left = `${x}px`;
    node.style.width = `${width}px`;
    return node;
  }

  /** Bands for so many joules of each loss, and of what is useful. */
  draw(bands, lost, useful) {
    const { top, left, right, bend, high } = this.room;
    const px = (e) => Math.max(0, e) * this.scale;
    const edge = top + px(useful);
    let low = edge + px(lost.reduce((a, b) => a + b, 0));
    const from = left;
    lost.forEach((e, k) => {
      const w = px(e);
      const x = left + this.step * k + Math.max(2, 0.5 * (this.step - w)) - bend;
      // From the bank's end: what leaves here, and has come all the way below what stays.
      const inner = `H${x}A${bend} ${bend} 0 0 1 ${x + bend} ${low + bend}V${high}`;
      const outer = `H${x + bend + w}V${low + bend}A${bend + w} ${bend + w} 0 0 0 ${x} ${low - w}H${from}Z`;
      put(bands[k], { d: w > 0.15 ? `M${from} ${low}${inner}${outer}` : "" });
      low -= w;
    });
    const w = px(useful);
    const x = this.wide - 0.5 * (right + w) - bend;
    const turn = `H${x}A${bend + w} ${bend + w} 0 0 1 ${x + bend + w} ${edge + bend}V${high}H${x + bend}V${edge + bend}A${bend} ${bend} 0 0 0 ${x} ${edge}`;
    put(bands[lost.length], { d: w > 0.15 ? `M${from} ${top}${turn}H${from}Z` : "" });
  }

  at(t) {
    this.time = t;
    if (!this.joules) return;
    const { losses, useful } = this.joules;
    this.draw(this.bands, losses.map((p) => this.joules.until(p, t)), this.joules.until(useful, t));
    const k = losses.findIndex((p) => p.lit?.parts_s != null && t >= p.lit.parts_s && this.weld.value("current_A", t) > 1);
    put(this.spark, { d: k < 0 ? "" : spark(this.room.left + this.step * (k + 0.5), this.room.high - 8, t) });
  }
}

/** Rays that flicker with the time shown, unless the reader wants less motion. */
export function spark(x, y, t) {
  const turn = still() ? 0 : Math.floor(t * 2e5);
  const ray = (k) => {
    const [a, long] = [(Math.PI * (2 * k + (turn % 3) * 0.7)) / 7, 11 + 7 * ((k * 5 + turn) % 3)];
    return `M${x + 5 * Math.cos(a)} ${y + 5 * Math.sin(a)}L${x + long * Math.cos(a)} ${y + 0.6 * long * Math.sin(a)}`;
  };
  return [0, 1, 2, 3, 4, 5, 6].map(ray).join("");
}
