// The rig as a schematic: bank, leads, joints, tool and clamps, around the weld or, where that has no room, above it.
//
// The width of a lead is the current in it, its glow the joules lost there so far.

import { put, show, svg } from "./dom.js";
import { joules, three, volts } from "./words.js";
import { control_of, reveal } from "./reveal.js";
import { FACE } from "./stage.js";
import { spark } from "./flow.js";
import { cord } from "./cord.js";

/** Height of the rig above the weld [px]. */
const STRIP = 126;

/** Width of a lead with the peak current, and that of its sheath, in drawing units. */
const COPPER = 8;
const SHEATH = 13;

/** Share of the stored energy at which a part glows in full. */
const BRIGHT = 0.22;

/** What a joint does at a time. */
export function joint_state(joint, t, amps) {
  if (joint.parts_s != null && t >= joint.parts_s) return amps > 1 ? "arcs" : "parted";
  if (joint.melts_from_s == null || t < joint.melts_from_s) return "";
  return joint.sets_s != null && t >= joint.sets_s ? "set again" : "melts";
}

/** Where everything lies around the weld: in the stage's own drawing. */
function around({ view: [left], ends, thick, shank_half, large }, leads) {
  const bank = { x: left + 6, y: 58, w: large > 1 ? 132 : 100, h: 134, row: large > 1 ? 32 : 24 };
  const run = Math.max(FACE + thick + 44, FACE + 92);
  const clamp = sides(leads, ends, 24, 46);
  const top = bank.x + 68;
  return {
    view: null, bank, run, chuck: [shank_half + 1, 8], tool: { x: -104, y: -41, w: 208, h: 30 },
    gun: [[top, bank.y], [top, -48], [-330, -44], [-104, -26]], room: 1, grow: 1,
    gun_words: { x: top + 22, y: 36, "text-anchor": "start" },
    tool_words: { x: -114, y: 4, "text-anchor": "end" },
    run_words: { x: 0.5 * (ends[0] + ends[1]), y: run + 23, "text-anchor": "middle" },
    clamps: clamp.map((x) => ({ x, y: FACE, low: FACE + thick })),
    earths: clamp.map((x, k) => earth(x, FACE + thick + 9, bank.x + 28 + 16 * k, bank.y + bank.h, run)),
    hits: { stud: { x: -shank_half, y: -6, width: 2 * shank_half, height: 110 }, sheet: { x: ends[0], y: FACE, width: ends[1] - ends[0], height: thick } },
  };
}

/** The same in a strip of its own. */
function above(wide, leads) {
  const bank = { x: 4, y: 30, w: 66, h: 58, row: 16 };
  const middle = Math.round(0.68 * wide);
  const ends = [0.36 * wide, wide - 6];
  const clamp = sides(leads, ends, 14, 24);
  return {
    view: [0, 0, wide, STRIP], bank, short: true, chuck: [middle + 9, 38], tool: { x: middle - 34, y: 8, w: 68, h: 20 },
    gun: [[52, 30], [52, 0], [middle - 120, 4], [middle - 34, 18]], room: 0.6, grow: 0.7,
    gun_words: { x: 80, y: 44, "text-anchor": "start" },
    tool_words: { x: middle - 14, y: 62, "text-anchor": "end" },
    run_words: { x: 0.5 * (ends[0] + ends[1]), y: 105, "text-anchor": "middle" },
    clamps: clamp.map((x) => ({ x, y: 76, low: 84 })),
    earths: clamp.map((x, k) => earth(x, 90, 20 + 12 * k, 88, 110)),
    stud: { x: middle - 8, y: 28, w: 16, h: 46 }, sheet: { x: ends[0], y: 76, w: ends[1] - ends[0], h: 8 },
    hits: { stud: { x: middle - 12, y: 28, width: 24, height: 46 }, sheet: { x: ends[0], y: 70, width: ends[1] - ends[0], height: 24 } },
  };
}

/** Clamps at the ends of the sheet, on the side of the stud where they sit. */
function sides(leads, [left, right], edge, apart) {
  const count = [0, 0];
  return leads.map(({ x_m }) => (x_m < 0 ? left + edge + apart * count[0]++ : right - edge - apart * count[1]++));
}

/** An earth lead from below its clamp back to below the bank. */
const earth = (x, y, bank_x, bank_y, run) => [[x, y], [x - 10, run + 18], [bank_x, run + 18], [bank_x, bank_y]];

export class Rig {
  constructor(place, stage) {
    [this.place, this.stage] = [place, stage];
    this.root = svg("svg", { role: "group", "aria-label": "The rig: width is current, glow is joules lost" });
    place.append(this.root);
    new ResizeObserver(() => this.layout()).observe(place);
    stage.fitted = () => this.layout();
  }

  show(weld, base) {
    [this.weld, this.base] = [weld, base];
    this.peak = Math.max(1, weld.figures.peak_current_A ?? 0, base?.figures.peak_current_A ?? 0);
    const keys = (weld.against?.changes ?? []).map((text) => text.split(":")[0]);
    this.changed = (test) => keys.some((key) => test.test(key));
    this.layout();
  }

  /** Joules of entries of the ledger up to a time. */
  lost(test, t) {
    let sum = 0;
    for (const [name, e] of this.weld.ledger) if (test.test(name)) sum += e * this.weld.grown(name, t);
    return sum;
  }

  layout() {
    if (!this.weld) return;
    this.place.classList.toggle("around", this.stage.around);
    const { leads } = this.weld.rim;
    this.plan = this.stage.around ? around(this.stage, leads) : above(Math.max(240, this.place.clientWidth), leads);
    put(this.root, { viewBox: (this.plan.view ?? this.stage.view).join(" ") });
    this.root.style.setProperty("--grow", this.stage.around ? this.stage.root.style.getPropertyValue("--grow") : 1);
    this.moving = [];
    const focus = document.activeElement?.closest?.("#rig .part")?.dataset.part;
    this.root.replaceChildren(...this.plain(), ...leads.map((lead, k) => this.earth(lead, k)), this.earth_words(), this.gun(), this.bank(), this.tool(), ...this.hits(),
      ...leads.map((lead, k) => this.clamp(k)), ...this.joints());
    if (focus) this.root.querySelector(`[data-part="${focus}"]`)?.focus();
    if (this.now) this.draw(this.now);
  }

  /** A part that opens its control, by tap or key, where the page has one. */
  part(name, key, title, test, ...inside) {
    const there = control_of(key);
    const open = (event) => {
      event.preventDefault();
      event.stopPropagation();
      reveal(there);
    };
    const acts = there ? { role: "button", tabindex: 0, "aria-label": `${title}: opens its control`, onclick: open, onkeydown: (e) => (e.key === "Enter" || e.key === " ") && open(e) } : {};
    return svg("g", { class: this.changed(test) ? "part changed" : "part", "data-part": name, ...acts }, svg("title", {}, title), ...inside);
  }

  /** Stud and sheet, where the stage does not draw them at this place. */
  plain() {
    const { stud, sheet } = this.plan;
    if (!stud) return [];
    const box = ({ x, y, w, h }) => svg("rect", { class: "iron", x, y, width: w, height: h });
    return [box(sheet), ...(this.weld.stage.bolted ? [] : [box(stud)])];
  }

  hits() {
    const area = (name, key, title) => this.part(name, key, title, new RegExp(`^${name}\\.`), svg("rect", { class: "area", rx: 3, ...this.plan.hits[name] }));
    return [area("sheet", "sheet.thickness", "sheet"), ...(this.weld.stage.bolted ? [] : [area("stud", "stud.size", "stud")])];
  }

  /** Sheath, glow and current of a lead, and a broad line to press. */
  lead(points, metres, turns, amps, test) {
    const { room, grow } = this.plan;
    const d = cord(points, metres, turns, room);
    const line = (css, width) => svg("path", { class: css, d, "stroke-width": (width * grow).toFixed(1) });
    const [halo, copper] = [line("halo", SHEATH + 8), line("copper", 1)];
    this.moving.push((now) => {
      const share = Math.min(1, Math.abs(amps(now)) / this.peak);
      put(copper, { "stroke-width": (grow * COPPER * share).toFixed(2) });
      put(halo, { opacity: this.bright(this.lost(test, now.t)) });
    });
    return [halo, line("sheath", SHEATH), copper, line("press", 24)];
  }

  bright(e) {
    return Math.sqrt(Math.min(1, e / (BRIGHT * this.weld.figures.stored_energy_J))).toFixed(3);
  }

  words(css, place, text) {
    const node = svg("text", { class: `label ${css}`, ...place });
    this.moving.push((now) => (node.textContent = text(now)));
    return node;
  }

  gun() {
    const { values } = this.weld;
    const [metres, turns] = [values["lead.length"], Math.round(values["lead.turns"] ?? 0)];
    const { short } = this.plan;
    const coil = turns > 0 && !short ? `, ${turns} turn${turns > 1 ? "s" : ""} coiled` : "";
    const was = this.base?.values["lead.length"];
    const words = `gun lead ${three(metres).replace(/\.0+$/, "")} m${coil}${was !== undefined && was !== metres && !short ? ` (base ${Number(three(was))} m)` : ""}`;
    return this.part("gun", "lead.length", "gun lead", /^lead\./, ...this.lead(this.plan.gun, metres, turns, (now) => now.current_A, /^gun lead$/),
      this.words("", this.plan.gun_words, (now) => `${words}: ${joules(this.lost(/^gun lead$/, now.t))}`));
  }

  earth(lead, k) {
    return this.part(`earth${k}`, "earth.N.length", `earth lead ${k}`, new RegExp(`^earth\\.${k}\\.(length|section)|^earth\\.${k}$`),
      ...this.lead(this.plan.earths[k], lead.length_m, 0, (now) => now.earths_A[k], new RegExp(`^earth ${k} lead$`)));
  }

  earth_words() {
    const { leads } = this.weld.rim;
    const lengths = [...new Set(leads.map((lead) => `${Number(three(lead.length_m))} m`))];
    const each = lengths.length === 1 ? `${leads.length > 1 ? `${leads.length} × ` : ""}${lengths[0]}` : lengths.join(", ");
    return this.words("", this.plan.run_words, (now) => `earth lead${leads.length > 1 ? "s" : ""} ${each}: ${joules(this.lost(/^earth \d lead$/, now.t))}`);
  }

  bank() {
    const { x, y, w, h, row } = this.plan.bank;
    const glow = svg("rect", { class: "halo-box", x: x - 5, y: y - 5, width: w + 10, height: h + 10, rx: 12 });
    const level = svg("rect", { class: "level", x: x + 4, width: w - 8, rx: 4 });
    const volt = this.words("strong", { x: x + w / 2, y: y + 0.5 * h + (h > 90 ? 4 : 6), "text-anchor": "middle" }, (now) => volts(now.bank_V));
    const left = this.words("", { x: x + w / 2, y: y + 0.5 * h + (h > 90 ? 4 : 6) + row, "text-anchor": "middle" }, (now) => `${joules(this.left(now))} left`);
    const name = svg("text", { class: "label", x: x + w / 2, y: y + (h > 90 ? 24 : 15), "text-anchor": "middle" }, "bank");
    this.moving.push((now) => {
      const high = (h - 8) * Math.min(1, this.left(now) / this.weld.figures.stored_energy_J);
      put(level, { y: (y + h - 4 - high).toFixed(1), height: high.toFixed(1) });
      put(glow, { opacity: this.bright(this.lost(/^(bank ESR|switch|diode|internal wiring)$/, now.t)) });
    });
    return this.part("bank", "bank.voltage", "bank", /^bank\./, glow, svg("rect", { class: "box", x, y, width: w, height: h, rx: 8 }), level, name, volt, left);
  }

  /** Energy in the bank, by the square of its voltage. */
  left(now) {
    const full = this.weld.columns.bank_V[0];
    return full > 0 ? this.weld.figures.stored_energy_J * (now.bank_V / full) ** 2 : 0;
  }

  tool() {
    const { x, y, w, h } = this.plan.tool;
    const small = h < 24;
    return this.part("tool", "tool.spring_force", "tool: spring, slide, moving mass, tilt", /^tool\./,
      svg("rect", { class: "box", x, y, width: w, height: h, rx: 7 }),
      svg("text", { class: "label", x: x + w / 2, y: y + h / 2 + (small ? 4 : 6), "text-anchor": "middle" }, "tool"));
  }

  clamp(k) {
    const { x, y, low } = this.plan.clamps[k];
    const [wide, deep] = this.plan.grow < 1 ? [6, 8] : [11, 16];
    const d = `M${x - wide} ${y - deep}H${x + wide}V${y - 3}H${x - 2}V${low + 3}H${x + wide}V${low + 0.6 * deep}H${x - wide}Z`;
    return this.part(`clamp${k}`, `earth.${k}.clamp`, `clamp of earth lead ${k}`, new RegExp(`^earth\\.${k}\\.(clamp|clamp_radius|at)(?!\\w)`), svg("path", { class: "jaw", d }));
  }

  /** Every joint: a dot while it holds, a drop where it melts, sparks where it has parted. */
  joints() {
    return this.weld.joints.map((joint) => this.joint(joint, this.spot(joint.name))).filter(Boolean);
  }

  spot(name) {
    const { bank, gun, tool, chuck, clamps, earths } = this.plan;
    const lane = /^earth (\d) (terminal|clamp)$/.exec(name);
    if (lane && lane[2] === "clamp") return clamps[lane[1]] && [clamps[lane[1]].x, clamps[lane[1]].y - 1];
    if (lane) return earths[lane[1]]?.[3];
    return { "bank terminal": [gun[0][0], bank.y], "tool terminal": [tool.x, gun[3][1]], chuck }[name];
  }

  joint(joint, at) {
    if (!at || (joint.name === "chuck" && this.weld.stage.bolted)) return null;
    const [[x, y], { grow }] = [at, this.plan];
    const dot = svg("circle", { class: "joint", cx: x, cy: y, r: 5 * grow });
    const drop = svg("circle", { class: "drop", cx: x, cy: y, r: 9 * grow });
    const rays = svg("path", { class: "spark" });
    const [test, lane] = [new RegExp(`^${joint.name}$`), /^earth (\d)/.exec(joint.name)];
    const amps = (now) => (lane ? now.earths_A[lane[1]] : now.current_A);
    const own = new RegExp(`^${joint.key.replaceAll(".", "\\.")}(?!\\w)`);
    const wrong = joint.parts_s != null || joint.melts_from_s != null || this.changed(own);
    const words = wrong ? this.words("wrong", this.beside(joint.name, x, y), (now) => {
      const state = joint_state(joint, now.t, amps(now));
      return `${joint.name}${state && !this.plan.short ? ` ${state}` : ""}: ${joules(this.lost(test, now.t))}`;
    }) : null;
    this.moving.push((now) => {
      const state = joint_state(joint, now.t, amps(now));
      show(drop, state === "melts" || state === "arcs");
      put(rays, { d: state === "arcs" || state === "melts" ? spark(x, y, now.t) : "" });
      show(rays, state === "arcs" || state === "melts");
      put(rays, { opacity: state === "melts" ? 0.5 : 1 });
    });
    return this.part(joint.name, joint.key, joint.name, own,
      svg("circle", { class: "press", cx: x, cy: y, r: 13 * grow }), drop, dot, rays, words);
  }

  /** Where the words of a joint stand that is not well: of a clamp at the right above the sheet, at the left below it. */
  beside(name, x, y) {
    const { short, tool_words, sheet, clamps } = this.plan;
    if (name === "tool terminal") return tool_words;
    if (name === "chuck") return { x: x + 14, y: y + (short ? 14 : 4), "text-anchor": "start" };
    if (!/clamp$/.test(name)) return { x: x + 10, y: y + (name === "bank terminal" ? -8 : 16), "text-anchor": "start" };
    const right = x > 0;
    if (short) return { x: sheet.x + sheet.w, y: y - 12, "text-anchor": "end" };
    return right ? { x: x + 12, y: y - 27, "text-anchor": "end" } : { x: x + 16, y: clamps[0].low + 18, "text-anchor": "start" };
  }

  draw(now) {
    this.now = now;
    for (const move of this.moving ?? []) move(now);
  }
}
