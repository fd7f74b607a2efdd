// The clamp board: the sheet from above, stud and clamps at true scale; a clamp moves by hand, and the page answers.

import { el, put, svg } from "./dom.js";
import { amperes } from "./words.js";
import { rim } from "./rim.js";
import { arrowhead } from "./stage.js";

/** Half of the board on the drawing, and what it may show [m]. */
const SIDE = 72;
const SPANS = [0.1, 0.2, 0.3, 0.5, 1, 2, 5, 10, 20];

/** A clamp keeps off the stud by this much [m]. */
const NEAREST = 0.01;

/** Steps of the arrow keys over the board's half, and with Shift. */
const STEP = 1 / 40;
const FINE = 1 / 200;

/** A pointer that moves less than this has tapped [px]. */
const SLACK = 3;

const millimetres = (x) => Math.round(x * 1e3);

export class Board {
  constructor(place) {
    this.plan = svg("svg", { class: "plan", viewBox: `${-SIDE} ${-SIDE} ${2 * SIDE} ${2 * SIDE}`, role: "group", "aria-label": "Clamps on the sheet, from above" });
    this.ring = el("div", {});
    this.note = el("p", { class: "soft", role: "status" });
    this.root = el("section", { id: "board", "aria-label": "Clamps and rim" },
      el("div", { class: "heads" }, el("h3", {}, "Clamps, to scale"), el("h3", {}, "Rim, seen from above")), this.plan, this.ring, this.note);
    place.append(this.root);
    this.plan.addEventListener("pointermove", (event) => event.pointerId === this.held?.pointer && this.drag(event));
    for (const name of ["pointerup", "pointercancel", "lostpointercapture"]) this.plan.addEventListener(name, (event) => event.pointerId === this.held?.pointer && this.drop());
  }

  /** From here on the clamps can be moved; `change` gets pairs of key and text, and whether the hand still holds. */
  movable(change) {
    this.change = change;
    if (this.weld) this.show(this.weld);
  }

  show(weld) {
    this.weld = weld;
    const { leads } = weld.rim;
    // The scale rests while a clamp is held.
    const far = Math.max(0, ...leads.flatMap(({ x_m, y_m }) => [Math.abs(x_m), Math.abs(y_m)]));
    if (!this.held) this.span = SPANS.find((span) => span >= 1.1 * far) ?? 1.2 * far;
    // The clamp held is where the hand is: what is answered is where it was.
    this.places = leads.map(({ x_m, y_m }, k) => (k === this.held?.k ? this.places[k] : [x_m, y_m]));
    if (this.clamps?.length !== leads.length || this.movable_now !== Boolean(this.change)) this.build(leads);
    this.ring.replaceChildren(rim(weld));
    this.note.textContent = this.change && leads.length ? "Drag a clamp, or move it with the arrow keys." : "";
    this.draw();
  }

  build(leads) {
    this.movable_now = Boolean(this.change);
    const [half, stud] = [2 * SIDE, svg("circle", { class: "stud-plan" })];
    const ruler = svg("path", { class: "ruler" });
    this.ruler_words = svg("text", { class: "label small", y: SIDE - 5 });
    this.clamps = leads.map((lead, k) => this.clamp(k));
    [this.stud, this.ruler] = [stud, ruler];
    this.plan.replaceChildren(svg("defs", {}, arrowhead("clamp-head")), svg("rect", { class: "plate-plan", x: -SIDE, y: -SIDE, width: half, height: half, rx: 4 }),
      ...this.clamps.map((c) => c.arrow), stud, ruler, this.ruler_words, ...this.clamps.map((c) => c.root));
  }

  clamp(k) {
    const [body, grip] = [svg("circle", { class: "clamp-plan" }), svg("circle", { class: "grip", r: 11 })];
    const words = svg("text", { class: "label small", "text-anchor": "middle" });
    const arrow = svg("line", { class: "current", "marker-end": "url(#clamp-head)" });
    const acts = this.change ? { role: "button", tabindex: 0, onkeydown: (event) => this.key(event, k), onpointerdown: (event) => this.take(event, k) } : { role: "img" };
    const root = svg("g", { class: this.change ? "clamp movable" : "clamp", ...acts }, grip, body, words);
    return { root, body, grip, words, arrow };
  }

  /** Puts everything where it is now. */
  draw() {
    const scale = SIDE / this.span;
    put(this.stud, { r: Math.max(1.2, this.weld.stage.flange_radius_m * scale).toFixed(2) });
    const bar = [0.5, 0.2, 0.1, 0.05].map((share) => share * 2 * this.span).find((metres) => metres * scale <= 40) ?? 0.1 * this.span;
    put(this.ruler, { d: `M${-SIDE + 6} ${SIDE - 6}v-3v3h${(bar * scale).toFixed(1)}v-3` });
    put(this.ruler_words, { x: (-SIDE + 10 + bar * scale).toFixed(1) });
    this.ruler_words.textContent = `${millimetres(bar)} mm`;
    const contact = (this.weld.values["earth.N.clamp_radius"] ?? 10) / 1e3;
    this.clamps.forEach(({ root, body, grip, words, arrow }, k) => {
      const [x, y] = [this.places[k][0] * scale, -this.places[k][1] * scale];
      for (const node of [body, grip]) put(node, { cx: x.toFixed(1), cy: y.toFixed(1) });
      put(body, { r: Math.max(2.5, contact * scale).toFixed(1) });
      const low = y > -SIDE + 24;
      put(words, { x: Math.min(SIDE - 20, Math.max(20 - SIDE, x)).toFixed(1), y: (low ? y - 9 : y + 17).toFixed(1) });
      const long = Math.hypot(x, y) || 1;
      put(arrow, { x1: (0.1 * x).toFixed(1), y1: (0.1 * y).toFixed(1), x2: (x * (1 - 7 / long)).toFixed(1), y2: (y * (1 - 7 / long)).toFixed(1) });
      const at = `${millimetres(this.places[k][0])}, ${millimetres(this.places[k][1])} mm`;
      put(root, { "aria-label": `Clamp of earth lead ${k} at ${at}${this.change ? "; arrow keys move it" : ""}` });
    });
    if (this.now) this.at(this.now);
  }

  /** Currents at a moment. */
  at(now) {
    this.now = now;
    const most = Math.max(1, ...this.weld.rim.leads.map((lead) => lead.peak_A));
    this.clamps.forEach(({ words, arrow }, k) => {
      const amps = now.earths_A[k] ?? 0;
      words.textContent = amperes(amps);
      put(arrow, { "stroke-width": (0.4 + (3.6 * amps) / most).toFixed(2), visibility: amps > 1 ? "visible" : "hidden" });
    });
  }

  take(event, k) {
    event.preventDefault();
    if (this.held || event.button !== 0) return;
    this.held = { k, pointer: event.pointerId, from: [event.clientX, event.clientY], place: this.places[k], moved: false };
    this.plan.setPointerCapture(event.pointerId);
    this.clamps[k].root.focus();
  }

  /** Moves the clamp held as far as the pointer, which need not have grasped it in the middle. */
  drag(event) {
    const { k, from, place } = this.held;
    const [right, down] = [event.clientX - from[0], event.clientY - from[1]];
    this.held.moved ||= Math.hypot(right, down) > SLACK;
    if (!this.held.moved) return;
    const metres = (2 * this.span) / this.plan.getBoundingClientRect().width;
    this.put(k, place[0] + right * metres, place[1] - down * metres, true);
  }

  /** Lets the clamp go where it is. */
  drop() {
    const { k, moved } = this.held;
    this.held = undefined;
    if (moved) this.put(k, ...this.places[k], false);
  }

  /** Puts a clamp near to a place [m]: on the board, and off the stud. */
  put(k, x, y, going) {
    const inside = (v) => Math.min(this.span, Math.max(-this.span, v));
    let [to_x, to_y] = [inside(x), inside(y)];
    const least = NEAREST + this.weld.stage.flange_radius_m;
    const away = Math.hypot(to_x, to_y);
    if (away < least) [to_x, to_y] = away > 0 ? [(to_x * least) / away, (to_y * least) / away] : [least, 0];
    this.places[k] = [to_x, to_y];
    this.draw();
    this.change([[`earth.${k}.at.x`, `${millimetres(to_x)} mm`], [`earth.${k}.at.y`, `${millimetres(to_y)} mm`]], going);
  }

  key(event, k) {
    const [x, y] = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key] ?? [0, 0];
    if (x === 0 && y === 0) return;
    event.preventDefault();
    event.stopPropagation();
    const by = (event.shiftKey ? FINE : STEP) * this.span;
    this.put(k, this.places[k][0] + x * by, this.places[k][1] + y * by, false);
  }
}
