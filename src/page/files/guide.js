// The first ten seconds of a first visit: the weld plays once, and each part is named as it acts.

import { byId, el } from "./dom.js";
import { keep, recall } from "./memory.js";
import { still } from "./motion.js";

/** What is kept once it was seen. */
const TOURED = "guide";

/** Time of each step [s]; six of them are ten seconds. */
const STEP_TAKES = 10 / 6;

/** Part of the page, words, and the stretch of the weld that plays meanwhile. */
const tour = ({ ignition, touchdown, end, verdict }) => {
  const middle = ignition + 0.6 * (touchdown - ignition);
  return [
    ["stage", "Trigger: the bank discharges through the pip, the thin pin under the stud.", 0, ignition],
    ["stage", "The pip bursts. An arc burns between the faces, and both melt.", ignition, middle],
    ["time", "Meanwhile the spring drives the stud down: the gap closes while the current falls.", middle, touchdown],
    ["stage", "Touchdown: the faces squeeze the melt to the rim, and it freezes.", touchdown, end],
    ["flow", "Where the joules of the bank went: only the orange ones melt the joint.", end, end],
    ["meaning", `What came of it: ${verdict}. Now move a control, or open the lessons.`, end, end],
  ];
};

/** Plays the guide unless it was seen before, somebody came by a link, or the weld has no arc to show. */
export function guide(view) {
  const { weld, clock } = view;
  const { ignition, touchdown } = weld.happened;
  if (recall(TOURED) || location.search || ignition === undefined || touchdown === undefined) return;
  const stands = still();
  const steps = tour({ ignition, touchdown, end: weld.end, verdict: weld.verdict });
  const words = el("p", { role: "status" });
  const next = el("button", { type: "button", hidden: !stands, onclick: () => go() }, "Next");
  const skip = el("button", { type: "button", onclick: () => done() }, "Skip");
  const card = el("div", { id: "guide", role: "group", "aria-label": "Guided start" }, words, next, skip);
  const stop = new AbortController();
  let [at, timer, lit] = [-1, 0, null];

  function go() {
    clearTimeout(timer);
    lit?.classList.remove("acting");
    if (++at === steps.length) return done();
    const [part, text, from, to] = steps[at];
    lit = byId(part);
    lit.classList.add("acting");
    lit.append(card);
    words.textContent = text;
    if (at + 1 === steps.length) skip.textContent = "Close";
    if (stands) return clock.seek(to);
    if (to > from) clock.run(from, to, STEP_TAKES);
    timer = setTimeout(go, STEP_TAKES * 1e3);
  }

  function done() {
    clearTimeout(timer);
    stop.abort();
    lit?.classList.remove("acting");
    card.remove();
    keep(TOURED, true);
  }

  // Whoever uses the page has started: the guide gets out of the way.
  const away = (event) => !card.contains(event.target) && done();
  for (const name of ["pointerdown", "input"]) document.addEventListener(name, away, { signal: stop.signal, capture: true });
  document.addEventListener("keydown", (event) => (event.key === "Escape" || !["Tab", "Shift", "Enter", " "].includes(event.key)) && done(), { signal: stop.signal });
  go();
}
