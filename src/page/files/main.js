// The page: its state, its address, and what it asks the program.

import { byId } from "./dom.js";
import { View } from "./view.js";
import { Controls } from "./controls.js";
import { Lessons } from "./lessons.js";
import { presenting } from "./present.js";
import { rail } from "./reveal.js";
import { complain, reason } from "./complaint.js";
import { printing } from "./print.js";
import { still } from "./motion.js";
import { pair_of } from "./words.js";
import { guide } from "./guide.js";

/** Changes of one control less than this apart are one undo step [ms]. */
const ONE_STEP = 800;

/** Input is idle when nothing has changed for this long [ms]. */
const REST = 250;

/** Time in which a lesson's answer plays [s]. */
const PLAYS = 5;

const stage = byId("stage");
const view = new View();
const empty = () => ({ sets: new Map(), faults: [], demonstration: false });
const copy = (state) => ({ ...state, sets: new Map(state.sets), faults: [...state.faults] });
const plain = (state) => state.sets.size + state.faults.length === 0 && !state.demonstration;

let state = empty();
let base = empty();
let shown = { now: null, base: null };
/** The last state that was accepted, and what stood beside it. */
let good = copy(state);
let beside = { base: copy(base), lesson: null };
let controls;
let lessons;
/** The lesson that is open, and the choice made in it. */
let lesson = null;
/** The next answer is a step of its own in the browser's history. */
let fresh = false;
let last = { key: "", time: 0, held: false };

/** A state as pairs of an address. */
function pairs(now, from, extra = []) {
  const out = new URLSearchParams();
  for (const [key, value] of now.sets) out.append("set", `${key}=${value}`);
  for (const name of now.faults) out.append("fault", name);
  if (now.demonstration) out.append("demonstration", "");
  if (from) {
    out.append("base", "");
    for (const [key, value] of from.sets) out.append("base-set", `${key}=${value}`);
    for (const name of from.faults) out.append("base-fault", name);
    if (from.demonstration) out.append("base-demonstration", "");
  }
  for (const [name, value] of extra) out.append(name, value);
  return out;
}

function read(query) {
  const [now, from, open] = [empty(), empty(), { at: null, chosen: null }];
  for (const [name, value] of new URLSearchParams(query)) {
    const part = name.startsWith("base-") ? from : now;
    const kind = name.replace("base-", "");
    if (kind === "set" && value.indexOf("=") > 0) part.sets.set(...pair_of(value));
    if (kind === "fault") part.faults.push(value);
    if (kind === "demonstration") part.demonstration = true;
    if (name === "lesson") open.at = Number(value) - 1;
    if (name === "chosen") open.chosen = Number(value) - 1;
  }
  return [now, from, open.at === null ? null : open];
}

async function ask(now, from) {
  const answer = await fetch("fire", { method: "POST", body: pairs(now, from) });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}

let resting = 0;
let asking = null;

/** Fires the current state, and tells whether it was accepted; while a request is pending only the latest next one waits. */
let flying = null;
let again = false;
async function fire() {
  clearTimeout(resting);
  asking?.abort();
  if (flying) {
    again = true;
    return flying;
  }
  stage.setAttribute("aria-busy", "true");
  flying = (async () => {
    let accepted;
    do {
      again = false;
      accepted = await once();
    } while (again);
    return accepted;
  })();
  const accepted = await flying.finally(() => {
    flying = null;
    stage.removeAttribute("aria-busy");
  });
  resting = setTimeout(band, REST);
  return accepted;
}

/** Requests the band of the weld shown once input is idle, so that a slider need not wait for it. */
async function band() {
  asking = new AbortController();
  try {
    const answer = await fetch("band", { method: "POST", body: pairs(good), signal: asking.signal });
    if (answer.ok) view.surely(await answer.json());
  } catch {
    // A newer change aborted it and requests again, or the program has gone, which that change will report.
  }
}

let base_key = null;
let refused = false;
async function once() {
  const [asked, from, open] = [copy(state), copy(base), lesson];
  let [accepted, under] = [false, null];
  try {
    const key = pairs(from).toString();
    under = key === base_key ? shown.base : await ask(from, null);
    shown = { now: await ask(asked, from), base: under };
    base_key = key;
    [good, beside] = [asked, { base: from, lesson: open }];
    accepted = !refused;
    if (accepted) complain("");
    refused = false;
  } catch (error) {
    complain(reason(error));
    // If the state of the address is refused, fall back to the weld the page opens with: first the base, then the weld.
    if (!shown.now) {
      if (plain(under ? asked : from)) return false;
      if (under) state = empty();
      else base = empty();
      lesson = null;
      again = refused = true;
      return false;
    }
    // Back to the last valid state.
    if (!again) [state, base, lesson] = [copy(good), copy(beside.base), beside.lesson];
  }
  view.show(shown.now, shown.base);
  controls.show(shown.now, shown.base, state, again);
  remember();
  document.dispatchEvent(new Event("fired"));
  // A slow response is not a pause of the user.
  last.time = performance.now();
  return accepted;
}

/** Updates address, history, undo and links to the state; what was refused leaves no trace. */
function remember() {
  const open = lesson ? [["lesson", lesson.at + 1], ...(lesson.chosen === null ? [] : [["chosen", lesson.chosen + 1]])] : [];
  const query = pairs(state, plain(base) ? null : base, open).toString();
  const depth = history.state?.depth ?? 0;
  if (query !== new URLSearchParams(location.search).toString()) {
    const address = query ? `?${query}` : location.pathname;
    if (fresh) history.pushState({ depth: depth + 1 }, "", address);
    else history.replaceState({ depth }, "", address);
  }
  fresh = false;
  for (const link of document.querySelectorAll("[data-take]")) link.href = `take/${link.dataset.take}?${pairs(state, base)}`;
  byId("undo").disabled = !history.state?.depth;
  byId("reset").disabled = query === "";
}

/** The next answer begins a step; consecutive changes of one control are one, however long it is held. */
function step(key, held = false) {
  const now = performance.now();
  if (key !== last.key || (!last.held && now - last.time > ONE_STEP)) fresh = true;
  last = { key, time: now, held };
}

/** Goes to the state of an address, as by the browser's own buttons. */
async function enter(query) {
  last = { key: "", time: 0, held: false };
  fresh = false;
  const [now, from, open] = read(query);
  const asked = lessons.has(open?.at) ? open : null;
  if (asked && !now.demonstration) return lessons.resume(asked.at, asked.chosen, false);
  [state, base, lesson] = [now, from, asked];
  if (!(await fire())) return undefined;
  return asked ? lessons.resume(asked.at, asked.chosen, true) : lessons.hide();
}

function change(changes, held) {
  step(changes[0][0], held);
  // A later override replaces an earlier one and comes after it: a stud's size before its pip.
  for (const [key, text] of changes) {
    state.sets.delete(key);
    if (key === "stud.size") for (const old of [...state.sets.keys()]) if (/^stud\.(pip_|flange)/.test(old)) state.sets.delete(old);
    state.sets.set(key, text);
  }
  return fire();
}

function fault(name, on) {
  step(`fault ${name}`);
  state.faults = state.faults.filter((other) => other !== name);
  if (on) state.faults.push(name);
  return fire();
}

const table = (sets) => new Map(sets.map(pair_of));

/** State and base before the lessons began. */
let outside = null;

/** What a lesson may do with the page. */
const page = {
  /** Sets the weld of a lesson up; whether it was accepted. A lesson that an address opens is no step of its own: Back leaves it. */
  async begin({ base: sets }, at, by_address) {
    if (!by_address) step(`lesson ${at}`);
    const before = beside.lesson ? outside : { state: copy(good), base: copy(beside.base) };
    lesson = { at, chosen: null };
    state = { sets: table(sets), faults: [], demonstration: true };
    base = copy(state);
    const accepted = await fire();
    if (accepted) outside = before;
    return accepted;
  },
  /** Makes the change of a lesson's answer; whether it was accepted. */
  turn({ change: sets, faults }, at, chosen, by_address) {
    if (!by_address) step(`answer ${at}`);
    lesson = { at, chosen };
    state = { sets: new Map([...base.sets, ...table(sets)]), faults: [...faults], demonstration: true };
    return fire();
  },
  /** Back to what was there before the lessons. */
  end() {
    step("lessons end");
    lesson = null;
    state = copy(outside?.state ?? empty());
    base = copy(outside?.base ?? empty());
    return fire();
  },
  lend: (key, place) => controls.lend(key, place),
  /** Plays from the start to an event, or stands there where motion is not wanted. */
  play(name) {
    const to = shown.now.events.find((e) => e.name === name)?.time_s ?? shown.now.end;
    if (still()) view.clock.seek(to);
    else view.clock.run(0, to, PLAYS);
  },
};

/** What the views beside the weld may know of it and do to it. */
const desk = {
  weld: () => shown.now,
  /** What is drawn, and the moment of its replay; no weld while another is on its way. */
  shown: () => ({ weld: flying ? null : shown.now, lesson, replay: view.clock.replay() }),
  /** Weld and base as pairs. */
  lead: (extra) => pairs(good, plain(base) ? null : base, extra),
  sets: () => new Map(good.sets),
  pairs: (sets, extra) => pairs({ ...good, sets: sets ?? good.sets }, null, extra),
  change: (changes) => change(changes, false),
  put(sets) {
    step("overrides");
    state.sets = new Map(sets);
    return fire();
  },
};

async function live() {
  const answer = await fetch("start");
  if (!answer.ok) throw new Error(await answer.text());
  const start = await answer.json();
  controls = new Controls(start, change, fault);
  view.board.movable(change);
  lessons = new Lessons(start.lessons, page);
  addEventListener("popstate", () => enter(location.search));
  const { shopping } = await import("./shop.js");
  shopping(start, desk);
  if (start.class) (await import("./classroom.js")).classroom(start, desk);
  byId("pin").addEventListener("click", () => {
    step("pin");
    base = copy(good);
    fire();
  });
  byId("undo").addEventListener("click", () => {
    stage.setAttribute("aria-busy", "true");
    history.back();
  });
  byId("reset").addEventListener("click", async () => {
    step("reset");
    [state, base, lesson] = [empty(), empty(), null];
    if (await fire()) lessons.hide();
  });
  byId("copy").addEventListener("click", async () => {
    await navigator.clipboard?.writeText(location.href);
    byId("copy").textContent = "Copied";
    setTimeout(() => (byId("copy").textContent = "Copy this page's address"), 1500);
  });
  await enter(location.search);
  guide(view);
}

/** On a narrow page the buttons are in a menu. */
function menu(open) {
  byId("nav").classList.toggle("open", open);
  byId("menu").setAttribute("aria-expanded", open);
}
byId("menu").addEventListener("click", () => menu(!byId("nav").classList.contains("open")));
byId("nav").addEventListener("click", (e) => e.target.closest("#nav > button, a, #copy") && menu(false));

byId("rail").addEventListener("click", () => rail(!document.body.classList.contains("rail")));

presenting();
printing();
const inside = byId("welds");
if (inside) {
  document.body.classList.add("replay");
  const { now, base: from } = JSON.parse(inside.textContent);
  view.show(now, from);
} else {
  live().catch((error) => complain(`${error.message}\nIs the program still running?`));
}
