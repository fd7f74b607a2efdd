// The class: how phones come in, what they follow, how they vote.

import { byId, el, svg } from "./dom.js";

/** Time between two looks at what the page shows, and between two at what the class does [ms]. */
const LOOK = 250;
const ASK = 1000;

/** How far a running replay may stray from what was published, over the length of the weld. */
const STRAYS = 0.02;

/** Who can come in, by the address on which the class listens. */
const REACH = {
  network: "Everyone on this network can reach the link; with the code they follow, vote and try one slider, no more. It ends with the page.",
  machine: "Only this machine can reach the link, no phone: the class was started on its loopback address. It ends with the page.",
};

/** Adds the class behind its button; `desk` is what it may know of the page. */
export function classroom({ class: way, lessons }, desk) {
  document.head.append(el("link", { rel: "stylesheet", href: "classroom.css" }));
  const panel = new Panel(way);
  const follow = new Published(lessons, desk);
  let last = 0;
  let asking = false;
  const look = async () => {
    const now = performance.now();
    const news = follow.news(now);
    if (asking || (news === null && now - last < ASK)) return;
    [asking, last] = [true, now];
    try {
      const answer = await fetch("class", { method: "POST", body: news ?? "" });
      if (!answer.ok) throw new Error(await answer.text());
      if (news !== null) follow.done();
      const seen = await answer.json();
      panel.show(seen);
      const open = desk.shown().lesson;
      if (open && open.at === seen.lesson) byId("lesson").querySelector(".poll").dispatchEvent(new CustomEvent("votes", { detail: seen.votes }));
    } catch {
      // The program has gone, which the next change of the page reports; else it is told again.
    }
    asking = false;
  };
  setInterval(look, LOOK);
}

/** What phones follow, and what of it has not been published yet. */
class Published {
  constructor(lessons, desk) {
    [this.lessons, this.desk] = [lessons, desk];
    this.touched = null;
    this.opened = null;
    document.addEventListener("input", (event) => this.touch(event.target));
    document.addEventListener("change", (event) => this.touch(event.target));
  }

  /** The control used last is the one that phones may try. */
  touch(target) {
    const field = target.closest(".control")?.querySelector("[id^='c-']");
    if (field) this.touched = field.id.slice(2);
  }

  /** What is to be published now, as pairs; null where phones know it. */
  news(now) {
    const { weld, lesson, replay } = this.desk.shown();
    if (!weld) return null;
    const opened = lesson ? `${lesson.at} ${lesson.chosen !== null}` : "";
    // An answered lesson offers its own control first.
    if (opened !== this.opened && lesson) this.touched = lesson.chosen === null ? null : this.lessons[lesson.at].control;
    this.opened = opened;
    const extra = [];
    if (lesson) extra.push(["lesson", lesson.at]);
    if (lesson && lesson.chosen !== null) extra.push(["chosen", lesson.chosen]);
    if (this.touched) extra.push(["control", this.touched]);
    const rest = this.desk.lead(extra).toString();
    const { at, pace, until } = replay;
    const told = this.told;
    const expected = told && (told.pace > 0 ? Math.min(told.until, told.at + (told.pace * (now - told.now)) / 1e3) : told.at);
    const strays = !told || Math.abs(at - expected) > (pace > 0 ? STRAYS * weld.columns.time_s.at(-1) : 0);
    if (told && rest === told.rest && pace === told.pace && until === told.until && !strays) return null;
    this.next = { rest, at, pace, until, now };
    return new URLSearchParams([...new URLSearchParams(rest), ["at", at], ["pace", pace], ["until", until]]);
  }

  /** What was asked for last has arrived. */
  done() {
    this.told = this.next;
  }
}

/** The way in, for the projector. */
class Panel {
  constructor({ link, reach, code, qr }) {
    this.button = el("button", { type: "button", id: "class-open", "aria-haspopup": "dialog", onclick: () => this.root.showModal() }, "Class");
    byId("present").before(this.button);
    this.phones = el("span", { role: "status" });
    this.wrong = el("dd", { class: "count" });
    this.wrong_row = el("div", { hidden: true }, el("dt", {}, "Wrong codes"), this.wrong);
    const close = el("button", { type: "button", onclick: () => this.root.close() }, "Back to the weld");
    const row = (name, value) => el("div", {}, el("dt", {}, name), value);
    this.root = el("dialog", { id: "class", "aria-labelledby": "class-title" },
      el("div", { class: "row" }, el("h2", { id: "class-title" }, "Follow on your phone"), close),
      svg("svg", { class: "qr", role: "img", "aria-label": `QR code of the link with the code: ${link}`, viewBox: `0 0 ${qr.side} ${qr.side}`, "shape-rendering": "crispEdges" }, svg("path", { d: qr.path })),
      el("dl", {}, row("Link", el("dd", { class: "link" }, link)), row("Code", el("dd", { class: "code" }, code)), row("Phones", el("dd", { class: "count" }, this.phones)), this.wrong_row),
      el("p", { class: "open-to" }, REACH[reach]));
    document.body.append(this.root);
    // Keys of the page do not act behind the panel.
    this.root.addEventListener("keydown", (event) => event.stopPropagation());
  }

  show({ phones, most, wrong }) {
    this.button.textContent = phones ? `Class (${phones})` : "Class";
    this.phones.textContent = `${phones} of ${most}`;
    this.wrong.textContent = String(wrong);
    this.wrong.classList.toggle("alarm", wrong > 0);
    this.wrong_row.hidden = wrong === 0;
  }
}
