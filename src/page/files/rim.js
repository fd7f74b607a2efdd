// The rim seen from above: its fill hour by hour, and the drift of the melt, drawn larger and saying by how much.

import { svg } from "./dom.js";
import { um } from "./words.js";

const RIM = 40;
const HOURS = [[12, 90], [3, 0], [6, 270], [9, 180]];

/** The longest arrow of the drift, and the factors by which it may be enlarged. */
const LONGEST = 30;
const ENLARGED = [1000, 500, 200, 100, 50, 20, 10, 5, 2, 1];

/** Thickness of the rim drawn for a fill. */
const thickness = (fill) => Math.min(14, Math.max(1.5, 6 * fill ** 2)).toFixed(1);

/** The drawing of a weld's rim. */
export function rim(weld) {
  const { fill, heading_rad: heading, drift_m: drift } = weld.rim;
  const at = (radius, angle) => [radius * Math.cos(angle), -radius * Math.sin(angle)];
  const parts = [svg("circle", { class: "body", r: RIM - 6 })];
  for (let k = 0; fill && k < fill.length; k++) {
    const step = (2 * Math.PI) / fill.length;
    const [[x0, y0], [x1, y1]] = [at(RIM, (k - 0.52) * step), at(RIM, (k + 0.52) * step)];
    parts.push(svg("path", { class: `rim ${fill[k] >= 1 ? "full" : "bare"}`, "stroke-width": thickness(fill[k]), d: `M${x0.toFixed(1)} ${y0.toFixed(1)}A${RIM} ${RIM} 0 0 0 ${x1.toFixed(1)} ${y1.toFixed(1)}` }));
  }
  for (const [hour, degrees] of HOURS) {
    const [x, y] = at(RIM + 14, (degrees * Math.PI) / 180);
    parts.push(svg("text", { class: "hour", x, y: y + 3.5, "text-anchor": "middle" }, hour));
  }
  const bare = fill ? fill.filter((f) => f < 1).length / fill.length : 1;
  const words = !fill ? "" : bare === 0 ? "all round" : bare === 1 ? "none" : "one-sided";
  const lines = [words];
  if (heading != null) {
    const size = (drift / weld.stage.flange_radius_m) * RIM;
    const times = ENLARGED.find((n) => n * size <= LONGEST) ?? 1;
    const [x, y] = at(times * size, heading);
    parts.push(svg("line", { class: "drift", x1: 0, y1: 0, x2: x.toFixed(1), y2: y.toFixed(1), "marker-end": "url(#tip)" }), svg("circle", { r: 2, class: "drift-head" }));
    lines.push(`drift ${um(drift)}${times > 1 ? `, × ${times}` : ""}`);
  }
  lines.forEach((text, k) => parts.push(svg("text", { class: "label small", x: 0, y: k ? 71 : heading != null ? (Math.sin(heading) < 0 ? -12 : 20) : 4, "text-anchor": "middle" }, text)));
  const tip = svg("marker", { id: "tip", viewBox: "0 0 8 8", refX: 5, refY: 4, markerWidth: 8, markerHeight: 8, markerUnits: "userSpaceOnUse", orient: "auto" }, svg("path", { d: "M0 0L8 4L0 8Z", class: "drift-head" }));
  const label = `Rim seen from above: melt ${words || "absent"}${heading != null ? `, drift ${um(drift)}` : ""}`;
  return svg("svg", { class: "rim-plan", viewBox: "-66 -62 132 140", role: "img", "aria-label": label }, svg("defs", {}, tip), ...parts);
}
