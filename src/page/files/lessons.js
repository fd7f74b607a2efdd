// Lessons: predict first; then the weld plays, and each choice gets its reason.

import { byId, el } from "./dom.js";
import { keep, recall } from "./memory.js";
import { poll } from "./poll.js";
import { letter } from "./words.js";

/** What is kept from visit to visit: the first choice of each lesson, by its title. */
const KEPT = "lessons";

export class Lessons {
  /** `page` can `begin(lesson, at)` and `turn(lesson, at, chosen)`, which tell whether the weld was accepted, `play(event)`, `lend(key, place)` and `end()`. */
  constructor(lessons, page) {
    [this.lessons, this.page] = [lessons, page];
    this.chosen = recall(KEPT) ?? {};
    this.place = byId("lesson");
    /** The lesson whose weld is on its way: until that is there nothing is answered. */
    this.opening = null;
    byId("lessons-open").addEventListener("click", () => (this.place.hidden ? this.open(this.next()) : this.close()));
  }

  /** The first lesson without an answer, or the one that was open last. */
  next() {
    const fresh = this.lessons.findIndex((lesson) => this.chosen[lesson.title] === undefined);
    return this.at ?? Math.max(0, fresh);
  }

  /** Whether there is a lesson of this number, from 0. */
  has(at) {
    return Boolean(this.lessons[at]);
  }

  /** Sets the page up for a lesson and asks. */
  async open(at) {
    if (!(await this.begun(at, false))) return;
    this.draw(at);
    this.title.focus();
    this.place.scrollIntoView?.({ block: "nearest" });
  }

  /** Sets a lesson's weld up; whether it is there, and still wanted. */
  async begun(at, by_address) {
    this.opening = at;
    const accepted = await this.page.begin(this.lessons[at], at, by_address);
    const wanted = this.opening === at;
    if (wanted) this.opening = null;
    return accepted && wanted;
  }

  /** Shows a lesson that an address names, answered where it says so, on a weld that is set up already or not yet. */
  async resume(at, chosen, ready) {
    if (!ready && !(await this.begun(at, true))) return;
    this.draw(at);
    const known = chosen !== null && this.lessons[at].choices[chosen];
    if (known && ready) this.tell(chosen);
    else if (known) await this.answer(chosen, true);
  }

  draw(at) {
    this.at = at;
    const lesson = this.lessons[at];
    const onward = (to, words, off) => el("button", { type: "button", disabled: off, onclick: () => this.open(to) }, words);
    this.title = el("h2", { tabindex: "-1" }, lesson.title);
    this.buttons = lesson.choices.map((choice, k) => el("button", { type: "button", onclick: () => this.answer(k) }, el("b", {}, letter(k)), " ", choice.say));
    this.reply = el("div", { class: "reply", role: "status" });
    this.trial = el("div", { class: "trial", hidden: true });
    this.page.lend(null);
    this.place.replaceChildren(
      this.steps(at),
      this.title,
      el("p", {}, lesson.say),
      el("p", {}, el("strong", {}, lesson.question)),
      el("div", { class: "choices" }, ...this.buttons),
      poll(lesson.choices),
      this.reply,
      this.trial,
      el("div", { class: "steps" }, onward(at - 1, "Previous lesson", at === 0), onward(at + 1, "Next lesson", at + 1 === this.lessons.length)),
      el("p", { class: "soft sheets" }, "On paper: ", sheet("questions.html", "questions"), ", ", sheet("answers.html", "answers")));
    this.place.hidden = false;
  }

  /** All lessons in a row, those answered ticked. */
  steps(at) {
    const step = (lesson, k) => {
      const first = this.chosen[lesson.title];
      const right = first !== undefined && lesson.choices[first]?.right;
      const state = first === undefined ? "" : right ? ", answered right" : ", answered";
      return el("button", { type: "button", class: first === undefined ? "" : right ? "right" : "done", "aria-current": k === at ? "step" : null,
        "aria-label": `Lesson ${k + 1}: ${lesson.title}${state}`, title: lesson.title, onclick: () => this.open(k) }, right ? `${k + 1} ✓` : `${k + 1}`);
    };
    return el("div", { class: "row" }, el("div", { class: "all", role: "group", "aria-label": `Lesson ${at + 1} of ${this.lessons.length}` }, ...this.lessons.map(step)),
      el("button", { type: "button", class: "close", "aria-label": "Close the lessons", onclick: () => this.close() }, "×"));
  }

  async answer(k, by_address = false) {
    if (this.opening !== null) return;
    const [at, lesson] = [this.at, this.lessons[this.at]];
    if (!(await this.page.turn(lesson, at, k, by_address)) || this.at !== at) return;
    if (this.chosen[lesson.title] === undefined) {
      this.chosen[lesson.title] = k;
      keep(KEPT, this.chosen);
      this.place.querySelector(".row").replaceWith(this.steps(at));
    }
    this.tell(k);
    this.page.play(lesson.at);
  }

  /** The reason of a choice, the answer, and the control to try it with. */
  tell(k) {
    const lesson = this.lessons[this.at];
    const right = lesson.choices.findIndex((choice) => choice.right);
    this.buttons.forEach((button, n) => {
      button.classList.toggle("right", n === right);
      button.classList.toggle("wrong", n === k && n !== right);
      button.setAttribute("aria-pressed", n === k);
    });
    const said = k === right ? "Right. " : `Not ${letter(k)}. `;
    this.reply.replaceChildren(
      el("p", {}, el("strong", {}, said), lesson.choices[k].reason),
      k === right ? "" : el("p", {}, el("strong", {}, `The answer is ${letter(right)}: ${lesson.choices[right].say}. `), lesson.choices[right].reason),
      el("p", {}, lesson.answer),
      el("p", { class: "soft" }, lesson.look));
    this.trial.hidden = !lesson.control;
    if (lesson.control) this.page.lend(lesson.control, this.trial);
    this.reply.scrollIntoView?.({ block: "nearest" });
  }

  hide() {
    this.opening = null;
    this.page.lend(null);
    this.place.hidden = true;
  }

  close() {
    this.hide();
    this.page.end();
    byId("lessons-open").focus();
  }
}

const sheet = (name, words) => el("a", { href: `take/${name}`, download: name }, words);
