// Guided steps for a class: set up the page, ask a question, answer it with the weld's figures.

import { byId, el } from "./dom.js";
import { um } from "./words.js";

/** A lesson's answer with the figures of both welds put in. */
export function filled(text, now, base) {
  return text.replace(/\{(now|base)\.([A-Za-z0-9_]+)\}/g, (all, which, name) => {
    const weld = which === "now" ? now : base;
    if (name === "verdict") return weld.verdict ?? "discharge test";
    if (name === "drift") return um(weld.rim.drift_m ?? 0);
    if (name === "weakest") return weld.rim.fill ? Math.min(...weld.rim.fill).toFixed(2) : "–";
    const taken = weld.ledger.find(([element]) => element.replaceAll(" ", "_") === name);
    if (taken) return `${Math.round(taken[1])} J`;
    return weld.words[name] ?? all;
  });
}

export class Lessons {
  /** `page` can `begin(sets)`, `turn(sets, faults)` and `stand(event)`. */
  constructor(lessons, page) {
    [this.lessons, this.page] = [lessons, page];
    this.place = byId("lesson");
    byId("lessons-open").addEventListener("click", () => (this.place.hidden ? this.open(this.at ?? 0) : this.close()));
  }

  async open(at) {
    this.at = at;
    const lesson = this.lessons[at];
    this.place.hidden = false;
    await this.page.begin(lesson.sets);
    const ask = lesson.choices.map((choice, k) => el("button", { type: "button", onclick: () => this.answer(k) }, choice));
    this.reply = el("div", { class: "reply", role: "status" });
    const title = el("h2", { tabindex: "-1" }, lesson.title);
    this.place.replaceChildren(
      el("p", { class: "soft" }, `Lesson ${at + 1} of ${this.lessons.length}`,
        el("button", { type: "button", class: "close", "aria-label": "Close the lessons", onclick: () => this.close() }, "×")),
      title,
      el("p", {}, lesson.say),
      el("p", {}, el("strong", {}, lesson.ask)),
      el("div", { class: "choices" }, ...ask),
      this.reply,
      el("div", { class: "steps" },
        el("button", { type: "button", disabled: at === 0, onclick: () => this.open(at - 1) }, "Previous lesson"),
        el("button", { type: "button", disabled: at + 1 === this.lessons.length, onclick: () => this.open(at + 1) }, "Next lesson")));
    title.focus();
    this.place.scrollIntoView?.({ block: "nearest" });
  }

  async answer(k) {
    const lesson = this.lessons[this.at];
    const welds = await this.page.turn(lesson.change, lesson.faults);
    if (!welds) return;
    this.page.stand(lesson.at);
    const right = k === lesson.right;
    const said = right ? "Right." : `The answer is: ${lesson.choices[lesson.right]}.`;
    [...this.place.querySelectorAll(".choices button")].forEach((button, n) => button.classList.toggle("right", n === lesson.right));
    this.reply.replaceChildren(
      el("p", {}, el("strong", {}, `${said} `), filled(lesson.answer, welds.now, welds.base)),
      el("p", { class: "soft" }, filled(lesson.look, welds.now, welds.base)));
  }

  close() {
    this.place.hidden = true;
    this.page.end();
    byId("lessons-open").focus();
  }
}
