// How sure the verdict is: one dot for each shot of the band, coloured and shaped by its verdict.

import { el, svg } from "./dom.js";

const A_ROW = 32;
const PITCH = 9;
const SHOTS = 128;

/** Shapes round the origin, all within a dot's room. */
const SHAPES = {
  cold: "M-2.7 -2.7h5.4v5.4h-5.4Z",
  "one-sided": "M0 -3.5A3.5 3.5 0 0 0 0 3.5Z",
  sound: "M-3.5 0A3.5 3.5 0 1 1 3.5 0A3.5 3.5 0 1 1 -3.5 0Z",
  hot: "M0 -3.700L3.6 3H-3.600Z",
  "burn-through": "M-2.8 -2.800L2.8 2.800M2.8 -2.800L-2.8 2.8",
};

const dot = (verdict, x, y) => svg("path", { class: `shot ${verdict}`, d: SHAPES[verdict], transform: `translate(${x} ${y})` });

/** The dots of a band beside the verdict of the weld itself, or room for them until it is known. */
export function dots(spread, headline) {
  const all = (spread?.verdicts ?? []).flatMap(([verdict, count]) => Array.from({ length: count }, () => verdict));
  const rows = Math.ceil(SHOTS / A_ROW);
  const counts = (spread?.verdicts ?? []).map(([verdict, count]) => `${count} ${verdict}`).join(", ");
  const box = { class: "band-dots", viewBox: `0 0 ${A_ROW * PITCH} ${rows * PITCH}` };
  if (!spread) return el("div", { class: "sure" }, svg("svg", { ...box, "aria-hidden": "true" }), el("p", { class: "tally" }, " "));
  const label = `The verdict within the spread of the model's constants: ${counts} of ${all.length} shots`;
  return el("div", { class: "sure" },
    svg("svg", { ...box, role: "img", "aria-label": label }, ...all.map((verdict, k) => dot(verdict, PITCH * (0.5 + (k % A_ROW)), PITCH * (0.5 + Math.floor(k / A_ROW))))),
    el("p", { class: "tally", title: label }, ...spread.verdicts.map(([verdict, count]) =>
      el("span", {}, svg("svg", { viewBox: "-4.5 -4.5 9 9", "aria-hidden": "true" }, dot(verdict, 0, 0)), ` ${count} ${verdict}`)), ` of ${all.length} shots`),
    outvoted(spread, headline, all.length));
}

/** Where most of the shots are something else than the headline: why that is no mistake. */
function outvoted(spread, headline, shots) {
  const most = spread.verdicts.find(([verdict, count]) => verdict !== headline && 2 * count > shots);
  if (!most) return null;
  const order = Object.keys(SHAPES);
  const side = order.indexOf(headline) < order.indexOf(most[0]) ? "cold" : "hot";
  return el("p", { class: "outvoted" }, `Most of the spread is ${most[0]}: the catalogue's own values lie at its ${side} end.`);
}
