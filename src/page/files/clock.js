// Time: playing, scrubbing, stepping from event to event.

import { byId, el } from "./dom.js";
import { LEFT, RIGHT } from "./curves.js";
import { ms } from "./words.js";

/** Step of the arrow keys over the length of the weld. */
const NUDGE = 1 / 400;

/** Rows of names under the bar, and the events that get theirs before others. */
const NAME_ROWS = 3;
const PLACED_FIRST = ["ignition", "touchdown", "arc-out", "stub", "joint-parts", "frozen", "current-end"];

export class Clock {
  /** `tell` is told each new time. */
  constructor(tell) {
    this.tell = tell;
    this.t = 0;
    this.playing = false;
    this.stretch = null;
    [this.bar, this.button] = [byId("at"), byId("play")];
    this.bar.addEventListener("input", () => this.seek(this.bar.valueAsNumber));
    this.button.addEventListener("click", () => this.toggle());
    byId("before").addEventListener("click", () => this.hop(-1));
    byId("after").addEventListener("click", () => this.hop(1));
    document.addEventListener("keydown", (e) => this.key(e));
  }

  show(weld, end) {
    this.weld = weld;
    this.bar.max = end;
    this.bar.step = "any";
    this.marks(end);
    this.set(Math.min(this.t, weld.end));
  }

  /** Names of the events under the bar, none on top of another; those that do not fit are dots. */
  marks(end) {
    this.bar.style.setProperty("--phases", this.shades(end));
    const place = byId("marks");
    const wide = place.clientWidth - LEFT - RIGHT;
    const events = this.weld.events.filter((e) => e.name !== "trigger" && e.time_s <= end);
    const nodes = events.map((e) => el("button", { type: "button", class: "mark", title: `${e.words}, ${ms(e.time_s)}`, onclick: () => this.seek(e.time_s) }, e.words));
    place.replaceChildren(...nodes);
    const taken = Array.from({ length: NAME_ROWS }, () => []);
    const named = new Set();
    const rank = (k) => (PLACED_FIRST.includes(events[k].name) ? k : k + events.length);
    for (const k of [...events.keys()].sort((a, b) => rank(a) - rank(b))) {
      const [event, node] = [events[k], nodes[k]];
      const at = LEFT + (wide * event.time_s) / end;
      const half = 0.5 * node.offsetWidth;
      const middle = Math.max(half, Math.min(at, LEFT + wide + RIGHT - half));
      const row = named.has(event.words) ? -1 : taken.findIndex((others) => others.every(([from, to]) => middle + half <= from || middle - half >= to));
      node.style.left = `${row < 0 ? at : middle}px`;
      if (row < 0) {
        node.textContent = "·";
        node.classList.add("dot");
        node.setAttribute("aria-label", event.words);
        continue;
      }
      named.add(event.words);
      taken[row].push([middle - half, middle + half]);
      node.style.top = `${row * node.offsetHeight}px`;
    }
  }

  /** The phases as a background of the bar. */
  shades(end) {
    const stops = this.weld.phases.map(([name, start], k) => {
      const to = Math.min(end, this.weld.phases[k + 1]?.[1] ?? this.weld.end);
      return `var(--bar-${name}) ${(100 * start) / end}% ${(100 * to) / end}%`;
    });
    return `linear-gradient(to right, ${stops.join(", ")}, var(--track) 0)`;
  }

  set(t) {
    this.t = t;
    this.bar.value = t;
    this.bar.setAttribute("aria-valuetext", this.weld.describe(this.weld.at(t)));
    this.tell(t);
  }

  seek(t) {
    this.pause();
    this.set(Math.min(this.weld.end, Math.max(0, t)));
  }

  hop(way) {
    this.seek(this.weld.step(this.t, way));
  }

  /** Plays from one time to another within some seconds. */
  run(from, to, seconds) {
    this.seek(from);
    this.stretch = { to, pace: (to - from) / seconds };
    this.toggle();
  }

  /** Time now, seconds of the weld a second (0 while it stands), and where it will stop. */
  replay() {
    const { to, pace } = this.stretch ?? { to: this.weld?.end ?? 0, pace: 1 / Number(byId("slow").value) };
    return { at: this.t, pace: this.playing ? pace : 0, until: Math.min(to, this.weld?.end ?? 0) };
  }

  toggle() {
    if (this.playing) return this.pause();
    if (this.t >= this.weld.end) this.set(0);
    this.playing = true;
    this.button.textContent = "Pause";
    let last;
    const frame = (now) => {
      if (!this.playing) return;
      const passed = last === undefined ? 0 : Math.min(0.1, (now - last) / 1e3);
      last = now;
      const { pace, until: end } = this.replay();
      const t = this.t + passed * pace;
      if (t >= end) {
        this.set(end);
        return this.pause();
      }
      this.set(t);
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  pause() {
    this.playing = false;
    this.stretch = null;
    this.button.textContent = "Play";
  }

  key(event) {
    const bar = event.target === this.bar;
    const typing = !bar && event.target.closest("input:not([type=checkbox]), select, textarea, summary");
    const box = event.key === " " && event.target.closest("input[type=checkbox], label");
    if (event.altKey || event.ctrlKey || event.metaKey || !this.weld || typing || box) return;
    const button = event.target.closest("button, a");
    const does = {
      " ": button ? undefined : () => this.toggle(),
      ",": () => this.hop(-1),
      ".": () => this.hop(1),
      ArrowLeft: () => this.seek(this.t - NUDGE * this.weld.end),
      ArrowRight: () => this.seek(this.t + NUDGE * this.weld.end),
      Home: () => this.seek(0),
      End: () => this.seek(this.weld.end),
      b: byId("pair").hidden ? undefined : () => byId("pair").click(),
    }[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!does) return;
    event.preventDefault();
    does();
  }
}
