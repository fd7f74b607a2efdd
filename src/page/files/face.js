// The verdict as a picture: the weld broken and seen from below, and from the side; each from this shot's own figures.

import { el, svg } from "./dom.js";

/** Radius of the flange on both drawings, and points round it. */
const R = 44;
const MARKS = [[12, 0, -1], [3, -1, 0], [6, 0, 1], [9, 1, 0]];

/** Share of the arc's energy boiled off that shows as spatter, and what a fill beyond the rim shows as the same. */
const BOILS = 0.02;
const SPILLS = 3;

/** Drops of spatter for so much lost, at angles that do not line up. */
function spatter({ vapour_share: vapour, fill_ratio: fill }) {
  const lost = Math.max(vapour > BOILS ? vapour * 2 : 0, fill > SPILLS ? 0.25 * (fill - SPILLS) : 0);
  return Array.from({ length: Math.min(26, Math.round(60 * lost)) }, (_, k) => ({ angle: k * 2.399963, far: 6 + ((k * 7) % 11), r: 1 + ((k * 3) % 4) * 0.45 }));
}

/** What the faces show of a weld. */
function faces_of(weld) {
  const f = weld.figures;
  const fill = weld.rim.fill;
  const none = !fill || Math.max(...fill) < 0.02;
  return { fill, none, through: weld.verdict === "burn-through", hot: weld.verdict === "hot" || weld.verdict === "burn-through",
    share: none ? 0 : (f.welded_share ?? 0), spots: spatter(f), hollow: none ? 0 : weld.hollow() };
}

/** The broken face: welded as far as the melt filled, bare beyond. Seen from below, 3 and 9 o'clock change sides. */
function below(weld, { fill, none, hot, through, share, spots, hollow }) {
  const parts = [svg("circle", { class: "bare-face", r: R }), ...[0.8, 0.6, 0.4].map((s) => svg("circle", { class: "turning", r: R * s }))];
  if (!none) {
    const points = fill.map((f, k) => {
      const [angle, reach] = [(2 * Math.PI * k) / fill.length, R * Math.cbrt(Math.min(1, f))];
      return `${(-reach * Math.cos(angle)).toFixed(1)} ${(-reach * Math.sin(angle)).toFixed(1)}`;
    });
    parts.push(svg("path", { class: "torn", d: `M${points.join("L")}Z` }));
    fill.forEach((f, k) => f < 1 && parts.push(bare_rim(k, fill.length)));
  }
  const crater = hot ? R * Math.min(0.85, Math.max(0.25, Math.sqrt(weld.figures.vapour_share ?? 0))) : 0;
  if (crater) parts.push(svg("circle", { class: through ? "hole" : "crater", r: crater.toFixed(1) }));
  if (hollow) parts.push(svg("circle", { class: "hole", r: Math.max(3, R * hollow).toFixed(1) }));
  for (const { angle, far, r } of spots) parts.push(svg("circle", { class: "drop-cold", cx: ((R + far) * Math.cos(angle)).toFixed(1), cy: ((R + far) * Math.sin(angle)).toFixed(1), r }));
  for (const [hour, x, y] of MARKS) parts.push(svg("text", { class: "hour", x: x * (R + 9), y: y * (R + 9) + 3.5, "text-anchor": "middle" }, hour));
  const words = none ? "not welded" : `${Math.round(100 * share)} % welded`;
  const lines = none ? ["not", "welded"] : [`${Math.round(100 * share)} %`, "welded"];
  if (crater) parts.push(svg("text", { class: "on-face in-hole", y: 4, "text-anchor": "middle" }, through ? "through" : "crater"));
  else lines.forEach((line, n) => parts.push(svg("text", { class: n ? "on-face small" : "on-face", y: (hollow ? 0.5 * R : -1) + 14 * n, "text-anchor": "middle" }, line)));
  return frame("-62 -60 124 120", `The broken weld from below: ${words}${crater ? ", a crater in the middle" : ""}${hollow ? ", hollow in the middle" : ""}`, parts);
}

/** A stretch of rim without melt. */
function bare_rim(k, count) {
  const at = (n) => [-(R + 1) * Math.cos((2 * Math.PI * n) / count), -(R + 1) * Math.sin((2 * Math.PI * n) / count)].map((x) => x.toFixed(1)).join(" ");
  return svg("path", { class: "bare-rim", d: `M${at(k - 0.52)}A${R + 1} ${R + 1} 0 0 1 ${at(k + 0.52)}` });
}

/** From the side: the collar where the melt went past the rim, the open wedge where it did not. */
function side(weld, { fill, none, hot, through, spots }) {
  const [face, thick, high] = [28, 14, 8];
  const sides = [-1, 1].map((way) => {
    if (none) return 0;
    const from = weld.stage.tilt_rad > 0 ? weld.stage.low_rad : 0;
    const k = Math.round(((from + (way > 0 ? 0 : Math.PI)) / (2 * Math.PI)) * fill.length);
    return fill[((k % fill.length) + fill.length) % fill.length];
  });
  const parts = [svg("rect", { class: "iron", x: -62, y: face, width: 124, height: thick })];
  if (hot) {
    const deep = through ? thick : thick * Math.min(1, (weld.figures.melt_sheet_max_m ?? 0) / weld.stage.sheet_m + 0.2);
    parts.push(svg("path", { class: through ? "hole" : "crater", d: `M${-R} ${face}Q0 ${face + 2 * deep} ${R} ${face}Z` }));
  }
  const tilt = none ? 0 : (weld.stage.tilt_rad * 180) / Math.PI;
  parts.push(svg("g", { transform: `rotate(${tilt.toFixed(1)} 0 ${face})` },
    svg("path", { class: "iron", d: `M-30 -34H30V${face - high - 12}H${R}V${face - high}L0 ${none ? face - 6 : face}L${-R} ${face - high}V${face - high - 12}H-30Z` })));
  for (const [n, way] of [[0, -1], [1, 1]]) {
    const reach = R * Math.cbrt(Math.min(1, sides[n]));
    if (sides[n] <= 0.02) continue;
    parts.push(svg("path", { class: "torn", d: `M0 ${face}L${way * reach} ${face - (high * reach) / R}V${face}Z` }));
    if (sides[n] < 1) continue;
    const out = 4 + 12 * Math.min(1, sides[n] - 1);
    parts.push(svg("path", { class: "collar", d: `M${way * R} ${face - high}Q${way * (R + out)} ${face - high} ${way * (R + out)} ${face}H${way * R}Z` }));
  }
  for (const { angle, far, r } of spots) parts.push(svg("circle", { class: "drop-cold", cx: (Math.sign(Math.cos(angle)) * (R + 4 + far * 0.8)).toFixed(1), cy: (face - r - Math.abs(Math.sin(angle)) * 14).toFixed(1), r }));
  const told = sides.map((f) => (f >= 1 ? "a collar" : "no collar"));
  return frame("-62 -36 124 80", `From the side: ${told[0] === told[1] ? `${told[0]} on both sides` : `${told[0]} at the left, ${told[1]} at the right`}${spots.length ? ", spatter round it" : ""}`, parts);
}

const frame = (viewBox, label, parts) => svg("svg", { viewBox, role: "img", "aria-label": label }, ...parts);

/** Both pictures; nothing for a discharge test. */
export function pictures(weld) {
  if (weld.stage.bolted) return null;
  const now = faces_of(weld);
  const shown = (drawing, words) => el("figure", {}, drawing, el("figcaption", {}, words));
  return el("div", { class: "faces" }, shown(below(weld, now), "broken, from below"), shown(side(weld, now), "from the side"));
}
