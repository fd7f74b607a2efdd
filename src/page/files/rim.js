// The rim seen from above: its fill all round, the clamps, the drift of the melt.

import { svg } from "./dom.js";
import { amperes, um } from "./words.js";

const HALF = 75;
const [RIM, CLAMP] = [34, 60];

/** The drawing of a weld's rim. */
export function rim(weld) {
  const { fill, leads, heading_rad: heading, drift_m: drift } = weld.rim;
  const at = (radius, angle) => [radius * Math.cos(angle), -radius * Math.sin(angle)];
  const parts = [svg("circle", { class: "body", r: RIM - 5 })];
  if (fill) {
    const step = (2 * Math.PI) / fill.length;
    for (let k = 0; k < fill.length; k++) {
      const [[x0, y0], [x1, y1]] = [at(RIM, (k - 0.52) * step), at(RIM, (k + 0.52) * step)];
      const css = fill[k] >= 1 ? "full" : "bare";
      const width = Math.min(16, Math.max(1.5, 6 * fill[k] ** 2)).toFixed(1);
      parts.push(svg("path", { class: `rim ${css}`, "stroke-width": width, d: `M${x0.toFixed(1)} ${y0.toFixed(1)}A${RIM} ${RIM} 0 0 0 ${x1.toFixed(1)} ${y1.toFixed(1)}` }));
    }
  }
  const used = [];
  for (const lead of leads) {
    const angle = Math.atan2(lead.y_m, lead.x_m);
    const [[x0, y0], [x1, y1]] = [at(RIM + 6, angle), at(CLAMP, angle)];
    const [xt, yt] = at(CLAMP + 4, angle);
    parts.push(svg("line", { class: "current", "stroke-width": 2.5, x1: x0, y1: y0, x2: x1, y2: y1 }));
    const anchor = Math.abs(xt) < 20 ? "middle" : xt < 0 ? "end" : "start";
    let y = yt + (Math.abs(xt) < 20 ? Math.sign(yt) * 8 : 4);
    while (used.some(([side, other]) => side === anchor && Math.abs(other - y) < 12)) y += 12;
    used.push([anchor, y]);
    parts.push(svg("text", { class: "label small", x: xt, y, "text-anchor": anchor }, amperes(lead.peak_A)));
  }
  if (heading != null) {
    const [x, y] = at(RIM - 9, heading);
    parts.push(svg("line", { class: "drift", x1: -0.6 * x, y1: -0.6 * y, x2: x, y2: y, "marker-end": "url(#tip)" }));
  }
  const bare = fill ? fill.filter((f) => f < 1).length / fill.length : 1;
  const words = !fill ? "" : bare === 0 ? "all round" : bare === 1 ? "none" : "one-sided";
  parts.push(svg("text", { class: "label small", x: 0, y: heading != null ? 18 : 4, "text-anchor": "middle" }, words));
  const tip = svg("marker", { id: "tip", viewBox: "0 0 8 8", refX: 5, refY: 4, markerWidth: 9, markerHeight: 9, markerUnits: "userSpaceOnUse", orient: "auto" }, svg("path", { d: "M0 0L8 4L0 8Z", class: "drift-head" }));
  const label = `Rim seen from above: melt ${words || "absent"}${heading != null ? `, drift ${um(drift)}` : ""}`;
  return svg("svg", { class: "rim-plan", viewBox: `${-1.75 * HALF} ${-HALF} ${3.5 * HALF} ${2 * HALF}`, role: "img", "aria-label": label }, svg("defs", {}, tip), ...parts);
}
