// A pupil's phone: follows the trainer's weld, votes, and tries one slider on a copy of its own.

import { byId, el } from "./dom.js";
import { keep, recall, WHILE_OPEN } from "./memory.js";
import { letter, ms } from "./words.js";
import { Weld } from "./weld.js";
import { Stage } from "./stage.js";
import { Curves } from "./curves.js";
import { meaning, sure } from "./meaning.js";
import { MAKERS } from "./controls.js";

/** Pause after an answer that did not come, and the longest one [ms]. */
const AGAIN = 1000;
const AGAIN_AT_MOST = 8000;

/** Time between two values of the slider that are asked for [ms]. */
const APART = 220;

/** How long a passing remark stays [ms]. */
const MENTIONED = 4000;

/** What the phone keeps until its page is closed: its place, and the code to come in by again. */
const [PLACE, CODE] = ["place", "code"];

let token = recall(PLACE, WHILE_OPEN);
let code = recall(CODE, WHILE_OPEN);
const pause = (time) => new Promise((done) => setTimeout(done, time));
const said_last = () => byId("link-state").textContent;
const say = (text) => (byId("link-state").textContent = text);

/** Says something that is over soon. */
function mention(text) {
  say(text);
  setTimeout(() => said_last() === text && say(""), MENTIONED);
}

/** An answer of the class; throws with its `status` where it is a refusal. */
async function ask_class(path, fields) {
  const headers = token ? { Authorization: `Bearer ${token}` } : {};
  const answer = await fetch(path, fields ? { method: "POST", headers, body: new URLSearchParams(fields) } : { headers });
  if (answer.ok) return answer.json();
  const words = (await answer.text()).replace(/^error: /, "").trim();
  throw Object.assign(new Error(words), { status: answer.status });
}

const stage_of_weld = new Stage(byId("drawing"));
const curves_of_weld = new Curves(byId("curves"), () => {});

/** The trainer's weld, this phone's own copy of it, and the one that is shown. */
let trainers = null;
let copied = null;
let drawn = null;
/** What was told last, and when. */
let news = null;
let heard = 0;

function draw_weld() {
  drawn = copied ?? trainers;
  byId("whose").classList.toggle("own", Boolean(copied));
  byId("whose").querySelector("p").textContent = copied ? "Your own copy" : "The trainer's weld";
  byId("back").hidden = !copied;
  stage_of_weld.shape(drawn);
  curves_of_weld.show(drawn, copied ? trainers : null, trainers);
  meaning(byId("meaning"), drawn, copied ? trainers : null);
  byId("limits").textContent = drawn.limits;
  byId("cautions").querySelector("ul").replaceChildren(...drawn.cautions.map((text) => el("li", {}, text)));
  draw_moment();
}

/** Time of the trainer's replay now, guessed from what was told. */
function moment_now() {
  const { at, pace, until } = news.told;
  return pace > 0 ? Math.min(until, at + (pace * (performance.now() - heard)) / 1e3) : at;
}

let ticking = false;
function draw_moment() {
  if (!drawn || !news) return;
  const t = Math.min(drawn.end, moment_now());
  const now = drawn.at(t);
  stage_of_weld.draw(now);
  curves_of_weld.at(t);
  byId("moment").replaceChildren(el("strong", {}, ms(t)), ` ${drawn.say(now)}`);
  const runs = news.told.pace > 0 && moment_now() < news.told.until;
  if (!runs || ticking) return;
  ticking = true;
  requestAnimationFrame(() => {
    ticking = false;
    draw_moment();
  });
}

/** The question, the choices to vote on, and the answer once the trainer shows it. */
let asked_last = "";
function draw_question() {
  const { question, vote } = news.told;
  const key = JSON.stringify([question, vote]);
  if (key === asked_last) return;
  asked_last = key;
  const place = byId("question");
  place.hidden = !question;
  if (!question) return place.replaceChildren();
  const { answer } = question;
  const css = (k) => (!answer ? "" : k === answer.right ? "right" : k === vote ? "wrong" : "");
  const buttons = question.choices.map((choice, k) => el("button", { type: "button", class: css(k), disabled: Boolean(answer), "aria-pressed": String(k === vote), onclick: () => cast(question.lesson, k) },
    el("b", {}, letter(k)), " ", choice));
  const said = answer
    ? [el("p", {}, vote === null ? null : el("strong", {}, vote === answer.right ? "Right. " : "Not so. "), answer.reasons[vote ?? answer.right]),
      vote === null || vote === answer.right ? null : el("p", {}, answer.reasons[answer.right]), el("p", {}, answer.answer)]
    : [el("p", { class: "soft" }, vote === null ? "Choose one; you may change it until the answer is shown." : "Your vote counts; you may change it until the answer is shown.")];
  place.replaceChildren(el("h2", {}, question.title), el("p", {}, question.say), el("p", {}, el("strong", {}, question.question)),
    el("div", { class: "choices" }, ...buttons), el("div", { role: "status" }, ...said.filter(Boolean)));
}

async function cast(lesson, choice) {
  try {
    await ask_class("vote", { lesson, choice });
    news.told.vote = choice;
    draw_question();
  } catch (error) {
    mention(error.status ? error.message : "No answer; try again.");
  }
}

/** The one slider, on a copy of the trainer's weld. */
let slider = null;
function draw_slider() {
  const { control } = news.told;
  const place = byId("own");
  place.hidden = !control;
  if (!control) {
    slider = null;
    return place.replaceChildren();
  }
  if (slider?.control.key !== control.key) {
    slider = new MAKERS[control.kind](control, { told: (_, text) => try_value(text), moved_on: false });
    // A phone has the slider alone: what is typed could lie beyond its ends.
    slider.text.readOnly = true;
    slider.text.tabIndex = -1;
    place.replaceChildren(el("h2", {}, "Try it yourself"), slider.root, el("p", { class: "soft" }, "On a copy of your own: nobody else sees it, and the trainer's weld stays as it is."));
  }
  const value = (copied ?? trainers)?.values[control.key];
  if (value !== undefined) slider.show(value, trainers.values[control.key]);
}

/** Asks for the weld of the slider's last value; one at a time. */
let wanted_value = null;
let trying = false;
async function try_value(text) {
  wanted_value = text;
  if (trying) return;
  trying = true;
  while (wanted_value !== null) {
    const [value, key, weld] = [wanted_value, slider?.control.key, news.weld];
    wanted_value = null;
    try {
      const answer = await ask_class("try", { key, value });
      if (news.weld === weld && slider?.control.key === key) {
        copied = new Weld(answer);
        slider.owner.moved_on = wanted_value !== null;
        draw_weld();
        draw_slider();
      }
      say("");
    } catch (error) {
      if (error.status === 429) wanted_value ??= value;
      else mention(error.status ? error.message : "No answer; try again.");
    }
    await pause(APART);
  }
  trying = false;
}

byId("back").addEventListener("click", () => {
  [copied, wanted_value] = [null, null];
  draw_weld();
  if (slider) draw_slider();
});

/** Takes what was told; the weld itself is asked for where it is another. */
async function take_news(found) {
  const other = news?.weld !== found.weld || !trainers;
  if (other) {
    const weld = await ask_class("weld");
    if (copied) mention("The trainer's weld has changed.");
    [trainers, copied, wanted_value] = [new Weld(weld), null, null];
  }
  const learnt = Boolean(found.spread) && !trainers.spread;
  trainers.spread = found.spread ?? trainers.spread;
  [news, heard] = [found, performance.now()];
  if (other) draw_weld();
  else draw_moment();
  if (learnt && drawn === trainers) sure(byId("meaning"), drawn);
  draw_question();
  draw_slider();
}

/** Follows for as long as the class is there. */
async function follow_class() {
  byId("come-in").hidden = true;
  let wait = AGAIN;
  for (;;) {
    try {
      const found = await ask_class(`follow?after=${news?.version ?? 0}`);
      if (byId("inside").hidden) byId("inside").hidden = false;
      if (wait > AGAIN) say("");
      await take_news(found);
      wait = AGAIN;
    } catch (error) {
      if (error.status === 401) return come_in();
      if (error.status === 429) {
        await pause(AGAIN);
        continue;
      }
      say(error.status ? error.message : "The class does not answer. It may have ended.");
      await pause(wait);
      wait = Math.min(AGAIN_AT_MOST, 2 * wait);
    }
  }
}

/** Comes in with the code of the link or the one given before, or asks for it. */
async function come_in() {
  token = null;
  keep(PLACE, null, WHILE_OPEN);
  if (!code) return ask_code("");
  say("Coming in …");
  for (;;) {
    try {
      ({ token } = await ask_class("join", { code }));
      keep(PLACE, token, WHILE_OPEN);
      keep(CODE, code, WHILE_OPEN);
      say("");
      [news, asked_last] = [null, ""];
      return follow_class();
    } catch (error) {
      if (error.status === 403) {
        [code] = [null];
        keep(CODE, null, WHILE_OPEN);
        return ask_code("That is not the code of this class.");
      }
      say(error.status === 503 ? "The class is full; waiting for a place." : error.status ? "Waiting for a turn …" : "The class does not answer. It may have ended.");
      await pause(error.status === 503 ? AGAIN_AT_MOST : 2 * AGAIN);
    }
  }
}

function ask_code(why) {
  say(why);
  byId("inside").hidden = true;
  byId("come-in").hidden = false;
  byId("code").focus();
}

byId("come-in").addEventListener("submit", (event) => {
  event.preventDefault();
  code = byId("code").value.trim().toUpperCase();
  byId("code").value = "";
  come_in();
});

// The link of the QR code ends on the code; an address bar need not go on showing it.
const of_link = location.hash.slice(1);
if (of_link) {
  history.replaceState(null, "", location.pathname);
  if (of_link !== code) token = null;
  code = of_link;
}
if (token) follow_class();
else come_in();
