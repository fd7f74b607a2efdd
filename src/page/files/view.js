// Stage, curves, clock and meaning, as one.

import { byId, el } from "./dom.js";
import { amperes, celsius, mm, ms, volts } from "./words.js";
import { Weld } from "./weld.js";
import { Stage } from "./stage.js";
import { Curves } from "./curves.js";
import { Flow } from "./flow.js";
import { Rig } from "./rig.js";
import { Clock } from "./clock.js";
import { meaning, sure, tone, verdict_of } from "./meaning.js";
import { Board } from "./board.js";
import { Sound } from "./sound.js";

/** Share of the arc time at which a page opens, so that it shows something. */
const OPENS_AT = 0.45;

export class View {
  constructor() {
    this.stage = new Stage(byId("drawing"));
    this.rig = new Rig(byId("rig"), this.stage);
    byId("pair").addEventListener("click", () => {
      this.pair(!this.paired);
      this.at(this.clock.t);
    });
    this.flow = new Flow(byId("flow"));
    this.sound = new Sound();
    this.clock = new Clock((t) => this.at(t));
    this.curves = new Curves(byId("curves"), (t) => this.clock.seek(t));
    byId("curves").addEventListener("laid", () => this.clock.weld && this.clock.marks(this.curves.end));
    this.told = el("div", { id: "told" });
    byId("meaning").append(this.told);
    this.board = new Board(byId("meaning"));
    this.now = ["current", "weld voltage", "gap", "stud speed", "bank voltage", "temperature"].map((name) => {
      const value = el("dd", {});
      const label = el("dt", {}, name);
      const before = el("dd", { class: "before" });
      byId("now").append(el("div", {}, value, label, before));
      return { value, label, before };
    });
  }

  /** Shows a weld, its base in grey behind where there is one. */
  show(answer, base) {
    const first = !this.weld;
    this.weld = new Weld(answer);
    this.base = base ? new Weld(base) : null;
    const same = !answer.against || answer.against.changes.length === 0;
    const ghost = same ? null : this.base;
    if (first && this.clock.t === 0) this.clock.t = this.opening();
    this.clock.t = Math.min(this.clock.t, this.weld.end);
    byId("what").textContent = answer.title ? `${answer.title} · ${answer.what}` : answer.what;
    byId("pair").hidden = !ghost;
    this.ghost = ghost;
    if (this.paired && !ghost) this.pair(false);
    this.stage.shape(this.weld);
    if (this.paired) this.shape_twin();
    this.rig.show(this.weld, ghost);
    this.board.show(this.weld);
    this.curves.show(this.weld, ghost, this.base);
    this.flow.show(this.weld, ghost);
    this.clock.show(this.weld, this.curves.end);
    meaning(this.told, this.weld, this.base);
    this.brief();
    byId("limits").textContent = answer.limits;
    byId("cautions").querySelector("ul").replaceChildren(...answer.cautions.map((text) => el("li", {}, text)));
  }

  /** Puts the base beside the weld, or takes it away. */
  pair(on) {
    this.paired = on;
    byId("pair").setAttribute("aria-pressed", on);
    byId("scene").classList.toggle("paired", on);
    this.stage.alone = on;
    if (on) this.shape_twin();
    for (const [stage, id] of [[this.stage, "drawing"], [this.twin, "twin"]]) stage?.fit(byId(id));
  }

  /** The base's stage, made once it is wanted. */
  shape_twin() {
    this.twin ??= new Stage(byId("twin"), true);
    this.twin.shape(this.ghost);
    byId("twin-word").textContent = `base: ${verdict_of(this.ghost)}`;
    byId("drawing-word").textContent = `changed: ${verdict_of(this.weld)}`;
  }

  /** What the spread of the model's constants makes of the verdict; known after the weld. */
  surely(spread) {
    this.weld.spread = spread;
    sure(this.told, this.weld);
    this.brief();
  }

  /** The verdict in the header of a narrow page, where the meaning is out of sight. */
  brief() {
    const { but, reserve, spread } = this.weld;
    const word = [verdict_of(this.weld), but].filter(Boolean).join(", ");
    byId("brief").className = tone(this.weld);
    byId("brief").textContent = spread?.doubt ? `${word}, ${spread.doubt}` : [word, reserve?.replace(/ .* → /, " ")].filter(Boolean).join(", ");
  }

  opening() {
    const { ignition, touchdown } = this.weld.happened;
    const out = touchdown ?? this.weld.happened["arc-out"] ?? this.weld.end;
    return ignition === undefined ? 0.5 * this.weld.end : ignition + OPENS_AT * (out - ignition);
  }

  at(t) {
    const now = this.weld.at(t);
    this.stage.draw(now);
    const was = this.paired ? this.ghost.at(Math.min(t, this.ghost.end)) : null;
    if (was) this.twin.draw(was);
    this.rig.draw(now);
    this.board.at(now);
    this.flow.at(t);
    this.curves.at(t);
    if (this.clock.playing) this.sound.at(now.current_A / this.weld.most("current_A"));
    byId("moment").replaceChildren(el("strong", {}, ms(t)), ` ${this.weld.say(now)}`);
    const [name, kelvin] = this.hottest(now, this.weld);
    const numbers = (of) => [amperes(of.current_A), volts(of.weld_V), mm(of.gap_m), `${of.speed_m_per_s.toFixed(2)} m/s`, volts(of.bank_V)];
    const before = was && [...numbers(was), this.hottest(was, this.ghost)[1]];
    [...numbers(now), kelvin].forEach((text, k) => {
      this.now[k].value.textContent = text;
      this.now[k].before.textContent = before ? `base ${before[k]}` : "";
    });
    this.now[5].label.textContent = name;
  }

  /** The temperature of a weld to show now, and whether that body boils or melts. */
  hottest(now, weld) {
    if (weld.stage.bolted) return ["temperature", "–"];
    const { ignition } = weld.happened;
    const [melts, boils] = [weld.stage.melting_K, weld.stage.boiling_K];
    const state = (k, body) => (k >= 0.998 * boils[body] ? "boiling" : k >= melts[body] ? "molten" : "solid");
    if (now.pip_K != null) return [`pip, ${state(now.pip_K, 0)}`, celsius(now.pip_K)];
    if (now.phase === "arc") return [`face, ${state(now.sheet_K, 1)}`, celsius(now.sheet_K)];
    if (ignition === undefined) return ["temperature", "–"];
    return [`joint, ${state(now.sheet_K, 1)}`, celsius(now.sheet_K)];
  }
}
