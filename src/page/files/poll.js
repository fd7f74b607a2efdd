// A show of hands: numbers typed in and votes of phones, drawn as bars.

import { el } from "./dom.js";
import { letter } from "./words.js";

/** Most hands of one choice. */
const MOST_HANDS = 999;

/** Fields and bars for the choices of a question, folded away until somebody counts; an event `votes` brings those of phones. */
export function poll(choices) {
  let votes = [];
  const rows = choices.map((choice, k) => {
    const bar = el("span", { class: "hands" });
    const share = el("span", { class: "share" });
    const field = el("input", { type: "number", min: 0, max: MOST_HANDS, step: 1, inputmode: "numeric", "aria-label": `Hands for ${letter(k)}: ${choice.say}`, oninput: () => draw() });
    return { bar, share, field, root: el("li", {}, el("b", {}, letter(k)), field, el("span", { class: "track" }, bar), share) };
  });
  const total = el("span", { class: "soft" });
  const count = ({ field }, k) => Math.min(MOST_HANDS, Math.max(0, Math.floor(field.valueAsNumber) || 0)) + (votes[k] ?? 0);
  const sum = (all) => all.reduce((sum, n) => sum + n, 0);
  function draw() {
    const hands = rows.map(count);
    const [all, phones] = [sum(hands), sum(votes)];
    rows.forEach(({ bar, share }, k) => {
      bar.style.width = all ? `${(100 * hands[k]) / all}%` : "0";
      share.textContent = all ? `${Math.round((100 * hands[k]) / all)} %` : "";
    });
    total.textContent = all ? ` ${all} in all${phones ? `, ${phones} by phone` : ""}` : "";
  }
  const root = el("details", { class: "poll" }, el("summary", {}, "Count hands", total), el("ol", {}, ...rows.map((row) => row.root)));
  root.addEventListener("votes", ({ detail }) => {
    if (detail.join() === votes.join()) return;
    if (sum(votes) === 0 && sum(detail) > 0) root.open = true;
    votes = detail;
    draw();
  });
  return root;
}
