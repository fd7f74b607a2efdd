// Curves over time: strips one above the other on one axis, phases shaded, the base in grey behind.

import { el, put, show, svg } from "./dom.js";
import { amperes, celsius, mm, three, um, volts } from "./words.js";

/** Room for names and values at the left, and at the right. */
export const LEFT = 108;
export const RIGHT = 14;

/** Room for the phases' names above, and for the time axis below. */
const TOP = 18;
const FOOT = 15;

/** The largest of 1, 2 and 5 times a power of ten that is at most `span` over `parts`. */
export function round_step(span, parts) {
  const want = span / parts;
  const power = 10 ** Math.floor(Math.log10(want));
  return [5, 2, 1].find((m) => m * power <= want * (1 + 1e-9)) * power;
}

/** End of the time axis: that of the weld it rests with, and some room, so that it holds still while others are compared. */
function axis_end(weld, rests) {
  const round = (end) => {
    const step = 0.05 * 10 ** Math.ceil(Math.log10(end));
    return step * Math.ceil(end / step - 1e-9);
  };
  const fixed = round(1.1 * (rests ?? weld).end);
  if (weld.end > fixed) return round(weld.end);
  // One that is over much sooner would not be seen.
  return weld.end < 0.3 * fixed ? round(1.1 * weld.end) : fixed;
}

/** A round value in few words: "5 kA" for "5.00 kA". */
const bare = (text) => text.replace(/(\.\d*?)0+(?= )/, "$1").replace(/\.(?= )/, "");

const watts = (p) => `${three(p / 1e3)} kW`;
const speed = (w) => `${w.toFixed(2)} m/s`;

/** What can be drawn: column, name, words of a value. */
const KINDS = [
  ["current_A", "current", amperes, "blue"],
  ["gap_m", "gap", mm, "green"],
  ["melt_sheet_m", "sheet melt", um, "red"],
  ["weld_V", "weld voltage", volts, "amber"],
  ["weld_W", "weld power", watts, "amber"],
  ["bank_V", "bank voltage", volts, "blue"],
  ["speed_m_per_s", "stud speed", speed, "purple"],
  ["sheet_K", "sheet face", celsius, "red"],
];
const FIRST = ["current_A", "gap_m", "melt_sheet_m"];

export class Curves {
  /** `seek` is told the time a pointer picks. */
  constructor(place, seek) {
    this.seek = seek;
    this.place = place;
    this.shown = new Set(FIRST);
    this.root = svg("svg", { role: "img", "aria-label": "Curves over time" });
    const boxes = KINDS.map(([column, name]) => {
      const box = el("input", { type: "checkbox", onchange: () => this.toggle(column, box.checked) });
      box.checked = this.shown.has(column);
      return el("label", {}, box, name);
    });
    place.append(this.root, el("details", { id: "kinds" }, el("summary", {}, "Which curves"), ...boxes));
    for (const name of ["pointerdown", "pointermove", "pointerleave"]) this.root.addEventListener(name, (e) => this.pointer(e));
    new ResizeObserver(() => this.layout()).observe(place);
  }

  toggle(column, on) {
    if (on) this.shown.add(column);
    else this.shown.delete(column);
    this.layout();
  }

  /** Shows a weld, its base in grey; the axis rests with `rests`, the weld that others are compared with. */
  show(weld, base, rests) {
    [this.weld, this.base] = [weld, base];
    this.end = axis_end(weld, rests ?? base);
    this.layout();
  }

  x(t) {
    return LEFT + ((this.wide - LEFT - RIGHT) * t) / this.end;
  }

  /** Draws everything for the room there is. */
  layout() {
    if (!this.weld) return;
    const kinds = KINDS.filter(([column]) => this.shown.has(column));
    this.wide = Math.max(260, this.place.clientWidth);
    const room = this.place.clientHeight;
    const strip = Math.max(34, Math.min(120, (room - TOP - FOOT) / Math.max(1, kinds.length)));
    this.foot = TOP + strip * kinds.length;
    this.high = this.foot + FOOT;
    put(this.root, { viewBox: `0 0 ${this.wide} ${this.high}`, width: this.wide, height: this.high });
    const parts = [...this.bands(), ...this.ticks()];
    this.values = kinds.map(([column, name, words, color], k) => {
      const top = TOP + strip * k;
      // The base's axis has room for a little more, so that it rests too.
      const most = Math.max(this.weld.most(column), 1.12 * (this.base?.most(column) ?? 0)) || 1;
      const least = column === "sheet_K" ? this.weld.stage.room_K : 0;
      const y = (v) => top + strip - 4 - ((strip - 12) * (v - least)) / (most - least || 1);
      const line = (weld, css) => svg("path", { class: `curve ${css}`, d: this.trace(weld, column, y) });
      parts.push(svg("line", { class: "axis", x1: LEFT, x2: this.wide - RIGHT, y1: y(least), y2: y(least) }));
      const full = round_step(most - least, 1) + least;
      parts.push(svg("line", { class: "axis", x1: LEFT, x2: this.wide - RIGHT, y1: y(full), y2: y(full) }));
      parts.push(svg("text", { class: "tick", x: this.wide - RIGHT, y: y(full) + 10, "text-anchor": "end" }, bare(words(full))));
      if (this.base) parts.push(line(this.base, "ghost"));
      parts.push(line(this.weld, color));
      const value = svg("text", { class: "value", x: 0, y: top + strip / 2 + 14 });
      parts.push(svg("text", { class: `name ${color}`, x: 0, y: top + strip / 2 - 3 }, name), value);
      return { column, words, value };
    });
    if (this.base && this.wide > 480) parts.push(svg("text", { class: "phase", x: this.wide - RIGHT, y: 12, "text-anchor": "end" }, "grey: base"));
    this.cursor = svg("line", { class: "cursor", y1: TOP, y2: this.foot });
    this.hover = svg("line", { class: "hover", y1: TOP, y2: this.foot, visibility: "hidden" });
    this.root.replaceChildren(...parts, this.hover, this.cursor);
    this.place.dispatchEvent(new CustomEvent("laid"));
    if (this.time !== undefined) this.at(this.time);
  }

  /** Ticks of the time axis, some five of them. */
  ticks() {
    const by = round_step(this.end, 4);
    const count = Math.floor(this.end / by + 1e-9);
    return Array.from({ length: count + 1 }, (_, k) => [k * by, this.x(k * by)]).flatMap(([t, x], k) => [
      svg("line", { class: "axis", x1: x, x2: x, y1: this.foot, y2: this.foot + 4 }),
      svg("text", { class: "tick", x, y: this.foot + 13, "text-anchor": "middle" }, `${Number((t * 1e3).toPrecision(6))}${k === count ? " ms" : ""}`),
    ]);
  }

  bands() {
    const out = [];
    this.weld.phases.forEach(([name, start], k) => {
      const end = Math.min(this.end, this.weld.phases[k + 1]?.[1] ?? this.weld.end);
      const [x0, x1] = [this.x(start), this.x(end)];
      if (x1 - x0 < 0.5) return;
      out.push(svg("rect", { class: `band ${name}`, x: x0, width: x1 - x0, y: TOP, height: this.foot - TOP }));
      if (name !== "rest" && x1 - x0 > 7 * name.length + 4) out.push(svg("text", { class: "phase", x: (x0 + x1) / 2, y: 12, "text-anchor": "middle" }, name));
    });
    for (const event of this.weld.events.slice(1)) {
      if (event.time_s <= this.end) out.push(svg("line", { class: "event", x1: this.x(event.time_s), x2: this.x(event.time_s), y1: TOP, y2: this.foot }));
    }
    return out;
  }

  trace(weld, column, y) {
    const times = weld.columns.time_s;
    const all = weld.columns[column];
    let d = "";
    for (let k = 0; k < times.length && times[k] <= this.end; k++) {
      d += `${k ? "L" : "M"}${this.x(times[k]).toFixed(1)} ${y(all[k]).toFixed(1)}`;
    }
    return d;
  }

  /** Moves the cursor and reads the values there. */
  at(t) {
    this.time = t;
    put(this.cursor, { x1: this.x(t), x2: this.x(t) });
    this.read(t);
  }

  read(t) {
    for (const { column, words, value } of this.values) value.textContent = words(this.weld.value(column, t));
  }

  pointer(event) {
    if (!this.weld) return;
    if (event.type === "pointerleave") {
      show(this.hover, false);
      return this.read(this.time);
    }
    const box = this.root.getBoundingClientRect();
    const share = (event.clientX - box.left - LEFT) / (box.width - LEFT - RIGHT);
    const t = Math.min(this.weld.end, Math.max(0, share * this.end));
    if (event.buttons & 1) {
      show(this.hover, false);
      return this.seek(t);
    }
    show(this.hover, true);
    put(this.hover, { x1: this.x(t), x2: this.x(t) });
    this.read(t);
  }
}
