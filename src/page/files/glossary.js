// Terms of the trade, explained where they stand: on hover, on focus and on a tap.

import { byId, el } from "./dom.js";

const TERMS = {
  ESR: "Equivalent series resistance: the capacitors' own resistance. It grows as they age, and takes its joules before any leave the bank.",
  fill: "Melt over the space under the cone. At 1 the melt just reaches the rim; more is pressed out as a collar.",
  reserve: "What the fill has above 1 where the rim has least: how much a weld can lose before its rim is bare. Where the weld is nearer to another limit, as that of too hot, what is left to it stands below.",
  witness: "The ring of melt pressed out round the flange. From outside it is the sign that the melt reached the rim.",
  forge: "The last phase: the stud is down, the spring squeezes the melt outwards, and it freezes.",
};
const WORD = new RegExp(`\\b(${Object.keys(TERMS).join("|")})\\b`);

/** The one box that explains; it lies over the page, beside the term in use. */
function bubble() {
  const there = byId("bubble");
  if (there) return there;
  const box = el("div", { id: "bubble", role: "tooltip", hidden: true });
  document.body.append(box);
  addEventListener("keydown", (event) => event.key === "Escape" && (box.hidden = true));
  addEventListener("scroll", () => (box.hidden = true), true);
  return box;
}

function explain(word, node) {
  const box = bubble();
  box.textContent = TERMS[word];
  box.hidden = false;
  const [at, size] = [node.getBoundingClientRect(), box.getBoundingClientRect()];
  const below = at.bottom + 6 + size.height <= innerHeight;
  box.style.left = `${Math.max(6, Math.min(at.left, innerWidth - size.width - 6))}px`;
  box.style.top = `${below ? at.bottom + 6 : Math.max(6, at.top - size.height - 6)}px`;
}

/** A word that explains itself. */
export function term(word, shown = word) {
  const hide = () => (bubble().hidden = true);
  const tell = () => explain(word, node);
  bubble();
  const node = el("button", { type: "button", class: "term", "aria-describedby": "bubble", onclick: tell, onfocus: tell, onmouseenter: tell, onblur: hide, onmouseleave: hide }, shown);
  return node;
}

/** A text in which each term, where it first comes, explains itself. */
export function explained(text) {
  const seen = new Set();
  return text.split(WORD).map((part) => {
    if (!TERMS[part] || seen.has(part)) return part;
    seen.add(part);
    return term(part);
  });
}

/** Every term, to look up. */
export const terms = () => Object.keys(TERMS).flatMap((word, k) => [k ? ", " : "", term(word)]);
