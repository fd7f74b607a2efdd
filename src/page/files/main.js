// The page: its state, its address, and what it asks the program.

import { byId } from "./dom.js";
import { View } from "./view.js";
import { Controls } from "./controls.js";
import { Lessons } from "./lessons.js";
import { presenting } from "./present.js";
import { rail } from "./reveal.js";
import { complain } from "./complaint.js";

const MOST_UNDO = 200;

/** Changes of one control less than this apart are one undo step [ms]. */
const ONE_STEP = 800;

/** Input is idle when nothing has changed for this long [ms]. */
const REST = 250;

const stage = byId("stage");
const view = new View();
const empty = () => ({ sets: new Map(), faults: [], demonstration: false });
const copy = (state) => ({ ...state, sets: new Map(state.sets), faults: [...state.faults] });
const plain = (state) => state.sets.size + state.faults.length === 0 && !state.demonstration;

let state = empty();
let base = empty();
let shown = { now: null, base: null };
let good = copy(state);
let controls;
const before = [];
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

const same = (a, b) => `${pairs(a.state, a.base)}` === `${pairs(b.state, b.base)}`;

function read(query) {
  const [now, from] = [empty(), empty()];
  for (const [name, value] of new URLSearchParams(query)) {
    const part = name.startsWith("base-") ? from : now;
    const kind = name.replace("base-", "");
    const cut = value.indexOf("=");
    if (kind === "set" && cut > 0) part.sets.set(value.slice(0, cut), value.slice(cut + 1));
    if (kind === "fault") part.faults.push(value);
    if (kind === "demonstration") part.demonstration = true;
  }
  return [now, from];
}

async function ask(now, from) {
  const answer = await fetch("fire", { method: "POST", body: pairs(now, from) });
  if (!answer.ok) throw new Error(await answer.text());
  return answer.json();
}

let resting = 0;
let asking = null;

/** Fires the current state; while a request is pending only the latest next one waits. */
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
    do {
      again = false;
      await once();
    } while (again);
  })();
  await flying.finally(() => {
    flying = null;
    stage.removeAttribute("aria-busy");
  });
  resting = setTimeout(band, REST);
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
  const asked = copy(state);
  try {
    const key = pairs(base).toString();
    if (key !== base_key) {
      shown.base = await ask(base, null);
      base_key = key;
    }
    shown.now = await ask(asked, base);
    good = asked;
    if (!refused) complain("");
    refused = false;
  } catch (error) {
    complain(error instanceof TypeError ? "The program does not respond. Is it still running?" : error.message);
    // If the state of the address is refused, fall back to the weld the page opens with: first the base, then the weld.
    if (!shown.base || !shown.now) {
      const bad = shown.base ? asked : base;
      if (plain(bad)) return;
      if (shown.base) state = empty();
      else base = empty();
      again = refused = true;
      return;
    }
    // Back to the last valid state; a refused change is not an undo step.
    if (!again) state = copy(good);
    while (before.length > 0 && same(before[before.length - 1], { state: good, base })) before.pop();
  }
  view.show(shown.now, shown.base);
  controls.show(shown.now, shown.base, state, again);
  remember();
  document.dispatchEvent(new Event("fired"));
  // A slow response is not a pause of the user.
  last.time = performance.now();
}

/** Updates address, undo and links to the state. */
function remember() {
  const query = pairs(state, plain(base) ? null : base).toString();
  history.replaceState(null, "", query ? `?${query}` : location.pathname);
  for (const link of document.querySelectorAll("[data-take]")) link.href = `take/${link.dataset.take}?${pairs(state, base)}`;
  byId("undo").disabled = before.length === 0;
  byId("reset").disabled = query === "";
}

/** Stores the state for undo; consecutive changes of one control are one step, however long it is held. */
function step(key, held = false) {
  const now = performance.now();
  if (key !== last.key || (!last.held && now - last.time > ONE_STEP)) {
    before.push({ state: copy(state), base: copy(base) });
    if (before.length > MOST_UNDO) before.shift();
  }
  last = { key, time: now, held };
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

const table = (sets) => new Map(sets.map((set) => [set.slice(0, set.indexOf("=")), set.slice(set.indexOf("=") + 1)]));

/** State and base before the lessons began. */
let outside = null;

/** What a lesson may do with the page. */
const page = {
  begin(sets) {
    step("lesson");
    outside ??= { state: copy(good), base: copy(base) };
    state = { sets: table(sets), faults: [], demonstration: true };
    base = copy(state);
    return fire();
  },
  async turn(sets, faults) {
    step("answer");
    state = { sets: new Map([...base.sets, ...table(sets)]), faults: [...faults], demonstration: true };
    await fire();
    return shown.now && { now: shown.now, base: shown.base };
  },
  /** Back to what was there before the lessons. */
  end() {
    if (!outside) return;
    step("lessons end");
    ({ state, base } = outside);
    outside = null;
    fire();
  },
  stand(name) {
    const event = shown.now.events.find((e) => e.name === name);
    if (event) view.clock.seek(event.time_s);
  },
};

/** What the views beside the weld may know of it and do to it. */
const desk = {
  weld: () => shown.now,
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
  new Lessons(start.lessons, page);
  const { shopping } = await import("./shop.js");
  shopping(start, desk);
  [state, base] = read(location.search);
  byId("pin").addEventListener("click", () => {
    step("pin");
    base = copy(good);
    fire();
  });
  byId("undo").addEventListener("click", () => {
    const found = before.pop();
    last = { key: "", time: 0, held: false };
    if (found) ({ state, base } = found);
    fire();
  });
  byId("reset").addEventListener("click", () => {
    step("reset");
    [state, base] = [empty(), empty()];
    fire();
  });
  byId("copy").addEventListener("click", async () => {
    await navigator.clipboard?.writeText(location.href);
    byId("copy").textContent = "Copied";
    setTimeout(() => (byId("copy").textContent = "Copy this page's address"), 1500);
  });
  await fire();
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
const inside = byId("welds");
if (inside) {
  document.body.classList.add("replay");
  const { now, base: from } = JSON.parse(inside.textContent);
  view.show(now, from);
} else {
  live().catch((error) => complain(`${error.message}\nIs the program still running?`));
}
