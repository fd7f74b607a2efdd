// A shift as curves over the number of the weld, and how its welds come out.

import { el, put, show, svg } from "./dom.js";
import { round_step } from "./curves.js";
import { three } from "./words.js";

/** Room at the right, for the legends above a panel, for the axis below, and height of the strip of verdicts. */
const [GUTTER, HEAD, AXIS, BAR] = [8, 18, 34, 26];

const degrees = (k) => k - 273.15;
const warm = (t) => `${three(t)} °C`;
const percent = (share) => `${(100 * share).toFixed(share === 1 || (share > 0.0995 && share < 0.9995) ? 0 : 1)} %`;
const counted = (n) => (n < 10000 ? String(n) : n.toLocaleString("en").replaceAll(",", " "));

/** Panels: name, share of the height, words of a value, lines of column, name and style. */
const PANELS = [
  { name: "voltage", high: 0.7, words: (u) => `${three(u)} V`, of: (u) => u, lines: [["voltage_V", "reached", "blue"]] },
  { name: "temperature", high: 1.5, words: warm, of: degrees, lines: [
    ["conductor_K", "copper of a lead", "red"], ["jacket_K", "jacket", "amber"], ["joint_K", "hottest joint", "purple dashed"],
    ["core_K", "bank", "green dotted"], ["junction_K", "switch junction", "grey"]] },
  { name: "fill", high: 1, words: (f) => f.toFixed(2), of: (f) => f, lines: [["fill_ratio", "fill", "green"]] },
];

export class ShiftChart {
  constructor(place) {
    this.place = place;
    this.drawn = svg("svg", { role: "img", "aria-label": "The shift over its welds" });
    this.legend = el("p", { class: "legend" });
    place.append(this.drawn, this.legend);
    for (const name of ["pointermove", "pointerleave"]) this.drawn.addEventListener(name, (e) => this.point(e));
    new ResizeObserver(() => this.layout()).observe(place);
  }

  show(curves, band) {
    [this.curves, this.band] = [curves, band];
    this.layout();
  }

  x(weld) {
    return this.left + ((this.wide - this.left - GUTTER) * (weld - 1)) / (this.last - 1 || 1);
  }

  layout() {
    if (!this.curves || !this.place.clientWidth) return;
    this.wide = this.place.clientWidth;
    this.left = this.wide < 520 ? 92 : 150;
    this.last = this.curves.weld.at(-1);
    const unit = this.wide < 520 ? 84 : 104;
    let top = 16;
    this.texts = [];
    const parts = [];
    for (const panel of PANELS) {
      const high = panel.high * unit;
      parts.push(...this.panel(panel, top, high));
      top += high + 10;
    }
    this.foot = top - 10;
    parts.unshift(...this.stretches());
    parts.push(...this.pauses(), ...this.axis(), ...this.strip(this.foot + AXIS));
    this.hair = svg("line", { class: "hover", y1: 16, y2: this.foot, visibility: "hidden" });
    const high = this.foot + AXIS + BAR + 2;
    put(this.drawn, { viewBox: `0 0 ${this.wide} ${high}`, width: this.wide, height: high });
    this.drawn.replaceChildren(...parts, this.hair);
    this.read(this.curves.weld.length - 1);
    put(this.drawn, { "aria-label": `The shift over its welds: ${this.texts.map((t) => `${t.name} ${t.node.textContent}`).join(", ")} at the last` });
  }

  /** One panel: axis, lines, and at the left their names and values. */
  panel({ name, words, of, lines }, top, high) {
    const at = lines.map(([column]) => this.curves[column].map((v) => (v == null ? null : of(v))));
    const own = name === "fill" ? this.band.flatMap((s) => s.fill_ratio) : name === "voltage" ? [this.curves.set_V] : [];
    const all = at.flat().filter((v) => v != null).concat(own);
    if (all.length === 0) return [svg("text", { class: "tick", x: this.left, y: top + high / 2 }, `no ${name}`)];
    let [low, top_value] = [Math.min(...all), Math.max(...all)];
    // A line that hardly moves is not blown up to a mountain.
    const least = 0.04 * Math.max(Math.abs(top_value), 1);
    if (top_value - low < least) [low, top_value] = [low - least / 2, top_value + least / 2];
    const y = (v) => top + high - 3 - ((high - 8) * (v - low)) / (top_value - low);
    const parts = [];
    const by = round_step(top_value - low, 2);
    for (let v = Math.ceil(low / by) * by; v <= top_value + 1e-9; v += by) {
      parts.push(svg("line", { class: "axis", x1: this.left, x2: this.wide - GUTTER, y1: y(v), y2: y(v) }));
      parts.push(svg("text", { class: "tick", x: this.left - 4, y: y(v) + 4, "text-anchor": "end" }, `${Number(v.toPrecision(6))}`));
    }
    if (name === "fill" && this.band.length > 1) {
      const edge = (k) => this.band.map((s) => `${this.x(s.weld).toFixed(1)} ${y(s.fill_ratio[k]).toFixed(1)}`);
      parts.push(svg("path", { class: "shift-band", d: `M${edge(0).join("L")}L${edge(1).reverse().join("L")}Z` }));
    }
    if (name === "voltage") parts.push(svg("line", { class: "set", x1: this.left, x2: this.wide - GUTTER, y1: y(this.curves.set_V), y2: y(this.curves.set_V) }));
    at.forEach((values, k) => {
      let d = "";
      values.forEach((v, n) => v != null && (d += `${d ? "L" : "M"}${this.x(this.curves.weld[n]).toFixed(1)} ${y(v).toFixed(1)}`));
      parts.push(svg("path", { class: `curve ${lines[k][2]}`, d }));
    });
    return parts.concat(this.names(name, lines, at, words, top));
  }

  /** Names and values at the left, a line each. */
  names(panel, lines, at, words, top) {
    const narrow = this.left < 100;
    return lines.flatMap(([, name, color], k) => {
      const node = svg("text", { class: `name ${color}`, x: narrow ? 0 : this.left - 34, y: top + 12 + 25 * k + (narrow ? 12 : 11), "text-anchor": narrow ? "start" : "end" });
      const said = svg("text", { class: "tick", x: narrow ? 0 : this.left - 34, y: top + 10 + 25 * k, "text-anchor": narrow ? "start" : "end" }, lines.length > 1 ? (narrow ? name.split(" ")[0] : name) : panel);
      this.texts.push({ name: lines.length > 1 ? name : panel, node, values: at[k], words });
      return [said, node];
    });
  }

  /** Stretches of one verdict, shaded behind the curves. */
  stretches() {
    return this.curves.verdicts.map(([verdict, from, to]) => {
      const [x0, x1] = [this.x(Math.max(1, from - 0.5)), this.x(Math.min(this.last, to + 0.5))];
      return svg("rect", { class: `came ${verdict ?? ""}`, x: x0, width: Math.max(0.5, x1 - x0), y: 16, height: this.foot - 16 });
    });
  }

  pauses() {
    return this.curves.breaks.flatMap(([weld, words]) => {
      const x = this.x(weld);
      const end = x > this.wide / 2;
      return [svg("line", { class: "event", x1: x, x2: x, y1: 14, y2: this.foot }),
        svg("text", { class: "phase", x: end ? x - 3 : x + 3, y: 11, "text-anchor": end ? "end" : "start" }, words)];
    });
  }

  axis() {
    const by = Math.max(1, round_step(Math.max(1, this.last - 1), 4));
    const out = [];
    for (let n = 0; n <= this.last; n += by) {
      const x = this.x(Math.max(1, n));
      const last = n + by > this.last;
      out.push(svg("line", { class: "axis", x1: x, x2: x, y1: this.foot, y2: this.foot + 4 }));
      out.push(svg("text", { class: "tick", x, y: this.foot + 15, "text-anchor": last && x > this.wide - 40 ? "end" : "middle" }, `${n === 0 ? "weld 1" : counted(n)}`));
    }
    return out;
  }

  /** How many of the welds come out how, stretch by stretch, and the legend of it. */
  strip(top) {
    const { outcomes, names } = this.curves;
    const wide = (this.wide - this.left - GUTTER) / outcomes.length;
    const seen = new Set();
    const bars = outcomes.flatMap((counts, n) => {
      const all = counts.reduce((a, b) => a + b, 0);
      let y = top + BAR;
      return counts.map((count, k) => {
        if (count === 0) return null;
        seen.add(k);
        const high = (BAR * count) / all;
        y -= high;
        return svg("rect", { class: `outcome ${names[k]}`, x: this.left + n * wide, width: wide + 0.4, y, height: high });
      });
    });
    const total = outcomes.flat().reduce((a, b) => a + b, 0);
    const shares = [...seen].sort().map((k) => {
      const count = outcomes.reduce((sum, counts) => sum + counts[k], 0);
      return el("span", { class: `came-key ${names[k]}` }, `${names[k]} ${percent(count / total)}`);
    });
    const words = this.curves.scattered ? "studs and rig scattered: " : "welds: ";
    this.legend.replaceChildren(el("span", { class: "soft" }, words), ...shares);
    const label = svg("text", { class: "tick", x: this.left - 4, y: top + BAR / 2 + 4, "text-anchor": "end" }, "verdicts");
    return [label, ...bars.filter(Boolean)];
  }

  read(n) {
    for (const { node, values, words } of this.texts) node.textContent = values[n] == null ? "–" : words(values[n]);
  }

  point(event) {
    if (!this.curves || !this.texts) return;
    show(this.hair, event.type !== "pointerleave");
    if (event.type === "pointerleave") return this.read(this.curves.weld.length - 1);
    const share = (event.clientX - this.drawn.getBoundingClientRect().left - this.left) / (this.wide - this.left - GUTTER);
    const n = Math.round(Math.min(1, Math.max(0, share)) * (this.curves.weld.length - 1));
    const x = this.x(this.curves.weld[n]);
    put(this.hair, { x1: x, x2: x });
    this.read(n);
  }
}
