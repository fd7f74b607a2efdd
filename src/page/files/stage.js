// The weld in section: chuck, stud, pip, sheet, arc and melt, at one moment.
//
// Widths, sheet and shank are to one scale; heights between the faces are drawn larger, and the
// drawing says how much.

import { put, show, svg } from "./dom.js";
import { amperes, mm, um } from "./words.js";
import { glow } from "./heat.js";

const HIGH = 318;
/** Room above and below for the rig around the weld, and the width from which there is room beside it [px]. */
const ABOVE = 44;
const BELOW = 42;
const ROOMY = 520;
/** The bank beside the sheet, and the sheet's end at the other side. */
const BESIDE = 118;
const EDGE = 14;
const MIDDLE = 0;
/** Half of the narrowest drawing, and of the sheet, whose ends are never seen. */
const NARROW = 225;
/** Half width from which on every word has room. */
const WIDE_ENOUGH = 290;
const ENDLESS = 2000;
/** Width from which there is room to say that the tilt is turned into view. */
const TILT_TOLD = 960;
/** How much larger words are on a projector. */
const LARGE = 1.3;
/** Height of the sheet's face. */
export const FACE = 236;
/** Thickness from which words have room in the drawn sheet. */
const THIN = 24;
/** Flange on the drawing. */
const FLANGE = 200;
/** Tallest gap on the drawing, and most by which it is stretched. */
const TALLEST = 122;
const STRETCH = 5;
const POINTS = 24;

const path = (points) => `M${points.map(([x, y]) => `${x.toFixed(1)} ${y.toFixed(1)}`).join("L")}Z`;

/** The head of a current's arrow, under an id of its drawing's own: what another drawing holds is gone while that is hidden. */
export const arrowhead = (id) =>
  svg("marker", { id, viewBox: "0 0 8 8", refX: 6, refY: 4, markerWidth: 8, markerHeight: 8, markerUnits: "userSpaceOnUse", orient: "auto-start-reverse" }, svg("path", { d: "M0 0L8 4L0 8Z", class: "head" }));

export class Stage {
  /** Of a drawing that stands `alone`, without a rig around it, wherever it is. */
  constructor(place, alone = false) {
    this.alone = alone;
    // The names of colours and arrows are each drawing's own.
    this.own = (id) => (alone ? `${id}-alone` : id);
    const metal = (id) => svg("linearGradient", { id: this.own(id) }, ...[[0, "#77818d"], [0.3, "#c9d0d8"], [0.62, "#a3acb7"], [1, "#6c7682"]]
      .map(([offset, color]) => svg("stop", { offset, "stop-color": color })));
    const arc = svg("radialGradient", { id: this.own("plasma") }, ...[[0, "#fffbe8", 1], [0.3, "#ffe9a0", 0.95], [0.62, "#ffb347", 0.6], [1, "#ff9a3c", 0]]
      .map(([offset, color, opacity]) => svg("stop", { offset, "stop-color": color, "stop-opacity": opacity })));
    const part = (name, attributes) => (this[name] = svg("path", attributes));
    const words = (name, attributes) => (this[name] = svg("text", { class: "label", ...attributes }));
    this.earths = svg("g", {});
    this.sparks = svg("g", { class: "sparks" });
    for (let k = 0; k < 14; k++) this.sparks.append(svg("line", {}));
    this.dimension = svg("g", { class: "dimension" }, (this.bar = svg("line", {})), (this.top = svg("line", {})), (this.bottom = svg("line", {})));
    this.ellipse = svg("ellipse", { fill: `url(#${this.own("plasma")})`, cx: MIDDLE });
    this.root = svg("svg", { role: "img", "aria-label": "Section through stud and sheet" },
      svg("defs", {}, metal("steel"), metal("plate"), arc, arrowhead(this.own("head"))),
      part("plate", { fill: `url(#${this.own("plate")})` }),
      part("pool", {}), part("warm", {}),
      this.ellipse,
      part("fillet", {}),
      (this.upright = svg("g", {}, part("shank", { fill: `url(#${this.own("steel")})` }), part("thread", { class: "thread" }), part("chuck", { class: "chuck" }))),
      part("flange", { fill: `url(#${this.own("steel")})` }),
      part("film", {}), part("hole", {}), part("pip", {}),
      this.sparks, this.earths, this.dimension,
      words("gap", {}), words("melt", { "text-anchor": "end" }), words("pool_words", { "text-anchor": "end" }), words("sheet", {}), words("holder", {}), words("scale", { "text-anchor": "end" }),
      words("none", { x: MIDDLE, y: 110, "text-anchor": "middle" }));
    place.append(this.root);
    new ResizeObserver(() => this.fit(place)).observe(place);
    this.fit(place);
  }

  /** As wide as the room asks for. */
  fit(place) {
    this.around = !this.alone && place.clientWidth >= ROOMY;
    const [above, high] = this.around ? [ABOVE, ABOVE + HIGH + BELOW] : [0, HIGH];
    const aspect = place.clientWidth / Math.max(1, place.clientHeight);
    const half = Math.max(NARROW, 0.5 * high * aspect);
    this.view = [-half, -above, 2 * half, high];
    put(this.root, { viewBox: this.view.join(" ") });
    // Words stay readable where the drawing is small, and on a projector.
    const grow = Math.min(1.35, Math.max(1, high / Math.max(1, place.clientHeight)));
    this.root.style.setProperty("--grow", grow.toFixed(3));
    this.large = document.body.classList.contains("present") ? LARGE : 1;
    this.narrow = half < WIDE_ENOUGH * grow * this.large;
    this.ends = this.around ? [BESIDE - half, half - EDGE] : [-ENDLESS, ENDLESS];
    if (this.weld) {
      this.say_scale();
      this.lay_plate();
    }
    put(this.scale, { x: half - (this.around ? 60 : 8) });
    this.fitted?.();
    if (this.now) this.draw(this.now);
  }

  /** The sheet, with its centre mark. */
  lay_plate() {
    const [[left, right], bottom] = [this.ends, FACE + this.thick];
    put(this.plate, { d: path([[left, FACE], ...this.mark(this.weld.stage), [right, FACE], [right, bottom], [left, bottom]]) });
  }

  /** Takes the shapes of a weld. */
  shape(weld) {
    const s = weld.stage;
    this.weld = weld;
    this.per_mm = FLANGE / (2e3 * s.flange_radius_m);
    const gap = Math.max(weld.most("gap_m"), s.pip_length_m, 1e-5) * 1e3;
    this.stretch = Math.min(STRETCH, TALLEST / (gap * this.per_mm));
    const shank = Number(s.size.slice(1)) || 1400 * s.flange_radius_m;
    this.shank_half = Math.min(0.5 * shank * this.per_mm, 0.46 * FLANGE);
    const full = s.sheet_m * 1e3 * this.per_mm;
    this.thick = Math.min(50, Math.max(8, full));
    const cut = full > 50 ? " (cut off)" : "";
    this.sheet_words = `${s.sheet_metal} sheet, ${(s.sheet_m * 1e3).toPrecision(2)} mm${cut}`;
    // The currents' words have no room in a thin sheet and stand below it.
    this.thin = this.thick < THIN;
    this.say_scale();
    this.lay_plate();
    show(this.scale, !s.bolted);
    for (const name of ["shank", "flange", "thread", "chuck", "pip", "holder"]) show(this[name], !s.bolted);
    this.none.textContent = s.bolted ? "no stud: bolted short" : "";
    this.power = Math.max(1, weld.most("weld_W"));
    this.earth_most = Math.max(1, ...weld.rim.leads.map((lead) => lead.peak_A));
  }

  say_scale() {
    const rough = this.stretch >= 1.95 ? this.stretch.toFixed(0) : this.stretch.toFixed(1);
    const turned = this.weld.stage.tilt_rad > 0 && Math.cos(this.weld.stage.low_rad) < 0.99 ? "tilt turned into view, " : "";
    const drift = this.weld.rim.heading_rad == null ? "" : ", drift";
    const heights = `${this.narrow || this.large > 1 ? "" : "heights in the "}gap${drift} × ${rough}`;
    // Round the weld a thin sheet has no room for its own words.
    const inside = this.around && !this.thin;
    this.sheet.setAttribute("class", inside ? "label on-metal" : "label");
    this.sheet.textContent = this.around && this.thin ? "" : this.sheet_words;
    this.scale.textContent = this.around && this.thin ? `${this.sheet_words}; ${heights}` : `${this.view[2] > TILT_TOLD ? turned : ""}${heights}`;
    const bottom = FACE + this.thick;
    // Below a sheet round the weld lie the earth leads, above it the gap.
    put(this.scale, { y: inside ? this.view[1] + 26 : bottom + (this.thin ? 38 : 18) });
    put(this.sheet, { y: inside ? bottom - 0.5 * this.thick + 6 : bottom + (this.thin ? 38 : 18), "text-anchor": inside ? "end" : "start", x: inside ? this.ends[1] - 48 : 8 + this.view[0] });
  }

  /** Outline of a centre punch mark, in drawing units. */
  mark(s) {
    if (!s.mark_depth_m) return [];
    const half = s.mark_depth_m * Math.tan(s.mark_angle_rad / 2) * 1e3 * this.per_mm;
    return [[MIDDLE - half, FACE], [MIDDLE, FACE + this.deep(s.mark_depth_m)], [MIDDLE + half, FACE]];
  }

  /** A depth below the sheet's face on the sheet's own scale: that of a centre mark. */
  deep(metres) {
    return Math.min(metres * 1e3 * this.per_mm, this.thick - 2);
  }

  /** How far the melt has drifted along the section, drawn as enlarged as the heights; it builds up with the arc. */
  drifted(now) {
    const { drift_m: drift, heading_rad: heading } = this.weld.rim;
    if (heading == null) return 0;
    const { tilt_rad: tilt, low_rad: low } = this.weld.stage;
    const along = drift * Math.cos(heading - (tilt > 0 ? low : 0));
    const most = 0.3 * FLANGE;
    return Math.max(-most, Math.min(most, this.tall(along))) * this.weld.burnt(now.t);
  }

  /** A height between the faces, drawn. */
  tall(metres) {
    return metres * 1e3 * this.per_mm * this.stretch;
  }

  /** Draws a moment. */
  draw(now) {
    this.now = now;
    const s = this.weld.stage;
    if (s.bolted) return this.bolted(now);
    const [half, down] = [FLANGE / 2, this.weld.happened.touchdown];
    const landed = down !== undefined && now.t >= down;
    const slope = this.tall(s.flange_radius_m * Math.tan(s.cone_rad)) / half;
    const lean = this.tall(s.flange_radius_m * Math.tan(s.tilt_rad)) / half;
    const sunk = landed ? this.tall(now.squeeze_travel_m) : 0;
    // The low rim of a tilted stud stands on the sheet.
    const apex = Math.min(FACE - this.tall(now.gap_m), FACE - half * Math.max(0, lean - slope)) + sunk;
    this.drift = this.drifted(now);
    // Height of the stud's face at a place across it.
    const face = (x, lift) => [MIDDLE + x, apex - Math.abs(x) * slope + x * lean - lift];
    const across = Array.from({ length: POINTS + 1 }, (_, k) => -half + (2 * half * k) / POINTS);
    const under = across.map((x) => face(x, 0));
    const rim = Math.min(under[0][1], under[POINTS][1]);
    const top = Math.min(rim - 26, apex - half * slope - 26);
    const turn = Math.tan(s.tilt_rad) * half;
    put(this.flange, { d: path([[MIDDLE - half, top - turn], [MIDDLE + half, top + turn], ...under.toReversed()]) });
    put(this.upright, { transform: `rotate(${((s.tilt_rad * 180) / Math.PI).toFixed(2)} ${MIDDLE} ${top.toFixed(1)})` });
    put(this.shank, { d: path([[MIDDLE - this.shank_half, -90], [MIDDLE + this.shank_half, -90], [MIDDLE + this.shank_half, top], [MIDDLE - this.shank_half, top]]) });
    this.grip(top);
    this.melted(now, face, across, landed);
    this.tip(now, apex, s);
    this.arc(now, apex, slope);
    this.measure(now, apex, landed);
    this.paths(now);
  }

  grip(top) {
    const [low, wide] = [top - 34, this.shank_half];
    const rows = [];
    for (let y = top - 8; y > low + 6; y -= 7) rows.push(`M${MIDDLE - wide} ${y}h${2 * wide}`);
    put(this.thread, { d: rows.join("") });
    const jaw = (side) => [[MIDDLE + side * wide, low], [MIDDLE + side * (wide + 12), low], [MIDDLE + side * (wide + 30), low - 26], [MIDDLE + side * (wide + 30), -90], [MIDDLE + side * wide, -90]];
    put(this.chuck, { d: path(jaw(-1)) + path(jaw(1)) });
    put(this.holder, { x: MIDDLE + wide + 40, y: Math.max(36, low - 12) });
    this.holder.textContent = low > 20 ? "chuck" : "";
  }

  /** Molten layers, the filled wedge, the witness at the rim. */
  melted(now, face, across, landed) {
    const [stud, sheet] = [this.tall(now.melt_stud_m), Math.min(this.tall(now.melt_sheet_m), this.thick)];
    const half = FLANGE / 2;
    const lower = across.map((x) => face(x, 0));
    // Thicker on the side to which the melt drifts.
    const more = (x) => Math.max(0.2, 1 + (1.4 * x * this.drift) / half ** 2);
    const upper = across.map((x) => face(x, Math.min(stud * more(x), 60)));
    // What has frozen still glows by its temperature, in a layer as thick as it was molten.
    const trace = (name, depth) => Math.max(depth, 0.7 * this.tall(this.largest(name, now.t)));
    put(this.film, { d: path([...lower, ...upper.map(([x, y]) => [x, y]).toReversed()]), fill: glow(now.stud_K) });
    show(this.film, stud > 0.4);
    put(this.pool, { d: this.dish(half, sheet, this.drift), fill: glow(now.sheet_K) });
    show(this.pool, sheet > 0.4);
    const [warm, kelvin] = [Math.min(this.thick, trace("melt_sheet_m", sheet)), now.sheet_K];
    put(this.warm, { d: this.dish(half, warm), fill: glow(kelvin), opacity: kelvin > 650 && sheet < 0.4 ? 0.75 : 0 });
    this.filled(now, face, landed);
  }

  largest(name, t) {
    const c = this.weld.columns;
    let most = 0;
    for (let k = this.weld.row(t); k >= 0; k -= 4) most = Math.max(most, c[name][k]);
    return most;
  }

  /** A layer in the sheet, deeper on the side to which the melt drifts. */
  dish(half, depth, drift = 0) {
    const side = (way) => Math.min(this.thick, depth * Math.max(0.2, 1 + (1.4 * way * drift) / half));
    const [left, right] = [side(-1), side(1)];
    const r = Math.min(9, half, left, right);
    return `M${MIDDLE - half} ${FACE}h${2 * half}v${right - r}q0 ${r} ${-r} ${r}L${MIDDLE - half + r} ${FACE + left}q${-r} 0 ${-r} ${-r}Z`;
  }

  /** The wedge under the cone, as far as it is filled on each side; past the rim a collar: the witness. */
  filled(now, face, landed) {
    const fill = this.weld.rim.fill ?? [];
    show(this.fillet, landed && fill.length > 0);
    this.fill_mark(now, landed);
    if (!landed || fill.length === 0) return;
    const half = FLANGE / 2;
    // The section runs through the low side of a tilted stud, which is drawn at the right.
    const { tilt_rad: tilt, low_rad } = this.weld.stage;
    const low = tilt > 0 ? Math.round((low_rad / (2 * Math.PI)) * fill.length + fill.length) : 0;
    // Fill grows as the cube of the radius it reaches.
    const reach = (side) => {
      const part = fill[(low + (side > 0 ? 0 : fill.length / 2)) % fill.length] * now.closing;
      return { x: half * Math.min(1, Math.cbrt(part)), more: Math.max(0, part - 1) };
    };
    const points = [];
    const [left, right] = [reach(-1), reach(1)];
    for (let k = 0; k <= POINTS; k++) points.push(face(-left.x + ((left.x + right.x) * k) / POINTS, 0));
    const collar = (side, { x, more }) => {
      if (x < half) return [[MIDDLE + side * x, FACE]];
      const out = 6 + 26 * Math.min(1, more);
      const edge = face(side * half, 0)[1];
      return [[MIDDLE + side * (half + 0.7 * out), edge - 1], [MIDDLE + side * (half + out), 0.5 * (edge + FACE)], [MIDDLE + side * (half + out), FACE]];
    };
    put(this.fillet, { d: path([...points, ...collar(1, right), ...collar(-1, left).toReversed()]), fill: glow(Math.max(now.sheet_K, 700)) });
  }

  /** A centre mark is a hole in the melt of the sheet until the stud squeezes it full; one too large stays a hole. */
  fill_mark(now, landed) {
    const outline = this.mark(this.weld.stage);
    const full = landed && this.weld.hollow() === 0 && now.closing > 0.2;
    show(this.hole, outline.length > 0);
    this.hole.setAttribute("class", full ? "" : "mark-hole");
    put(this.hole, { d: outline.length ? path(outline) : "", fill: full ? glow(Math.max(now.sheet_K, 700)) : "" });
  }

  tip(now, apex, s) {
    const { ignition, stub } = this.weld.happened;
    const stands = ignition === undefined ? stub === undefined || now.t < stub : now.t < ignition;
    show(this.pip, stands);
    const since = ignition === undefined ? -1 : now.t - ignition;
    // The burst flies for as long as the arc takes to the rim.
    const spray = 1.5 * s.flange_radius_m / s.arc_spread_m_per_s;
    show(this.sparks, since >= 0 && since < spray);
    if (since >= 0 && since < spray) this.burst(since / spray, apex);
    if (!stands) return;
    // In the air as long as it hangs free, then as long as there is room down to where it stands in the mark.
    const length = Math.min(s.pip_start_m, now.gap_m + s.sink_m);
    const below = length - now.gap_m;
    const tip = FACE + (below > 0 ? this.deep(below) : this.tall(below));
    const wide = s.pip_diameter_m * Math.sqrt(s.pip_length_m / Math.max(length, 0.05 * s.pip_length_m));
    const half = Math.min(0.5 * wide * 1e3 * this.per_mm, FLANGE / 3);
    put(this.pip, { d: path([[MIDDLE - half, apex - 2], [MIDDLE + half, apex - 2], [MIDDLE + half, tip], [MIDDLE - half, tip]]), fill: glow(now.pip_K ?? s.room_K) });
  }

  burst(share, apex) {
    const lines = [...this.sparks.children];
    const middle = 0.5 * (apex + FACE);
    lines.forEach((line, k) => {
      const angle = (Math.PI * 2 * (k + 0.5)) / lines.length;
      const [far, near] = [(FLANGE / 2) * Math.min(1, share + 0.15), (FLANGE / 2) * share * 0.75];
      const flat = 0.35;
      put(line, { x1: MIDDLE + near * Math.cos(angle), y1: middle + flat * near * Math.sin(angle), x2: MIDDLE + far * Math.cos(angle), y2: middle + flat * far * Math.sin(angle) });
    });
    this.sparks.setAttribute("opacity", (1 - share).toFixed(2));
  }

  arc(now, apex, slope) {
    const burns = now.phase === "arc";
    show(this.ellipse, burns);
    if (!burns) return;
    const s = this.weld.stage;
    const since = now.t - (this.weld.happened.ignition ?? now.t);
    const reach = Math.min(s.flange_radius_m, 0.5 * s.pip_diameter_m + s.arc_spread_m_per_s * since);
    const rx = (FLANGE / 2) * (reach / s.flange_radius_m) * 1.3;
    const between = FACE - apex + slope * FLANGE * 0.17;
    put(this.ellipse, { cx: (MIDDLE + this.drift).toFixed(1), cy: (0.5 * (FACE + apex) - slope * FLANGE * 0.08).toFixed(1), rx: rx.toFixed(1), ry: (0.62 * between + 10).toFixed(1), opacity: (0.35 + 0.65 * Math.min(1, now.weld_W / this.power)).toFixed(2) });
  }

  measure(now, apex, landed) {
    const on = !landed && this.tall(now.gap_m) > 3;
    show(this.dimension, on);
    const x = MIDDLE + FLANGE / 2 + (this.narrow ? 5 : 44);
    put(this.bar, { x1: x, x2: x, y1: apex, y2: FACE });
    put(this.top, { x1: MIDDLE + 8, x2: x + 6, y1: apex, y2: apex });
    put(this.bottom, { x1: x - 6, x2: x + 6, y1: FACE, y2: FACE });
    put(this.gap, { x: x + (this.narrow ? 8 : 10), y: Math.min(0.5 * (apex + FACE) + 5, FACE - 6) });
    this.gap.textContent = on ? `gap ${mm(now.gap_m)}` : "";
    this.tell(now, apex, landed);
  }

  /** How much is molten, on each face, then together. */
  tell(now, apex, landed) {
    const x = MIDDLE - FLANGE / 2 - 16;
    const both = now.melt_stud_m + now.melt_sheet_m;
    let [upper, lower] = ["", ""];
    if (both >= 5e-8 && !landed) [upper, lower] = [["stud", now.melt_stud_m], ["sheet", now.melt_sheet_m]].map(([name, depth]) => (this.narrow ? `${name} ${um(depth)}` : `${name} melted ${um(depth)}`));
    else if (both >= 5e-8 && !now.frozen) lower = this.film_words(now, both);
    else if (now.frozen) lower = "frozen";
    [this.melt.textContent, this.pool_words.textContent] = [upper, lower];
    put(this.melt, { x, y: Math.min(apex - 2, FACE - 26) });
    put(this.pool_words, { x, y: FACE - 8 });
  }

  film_words(now, both) {
    if (now.closing < 0.999) return `squeezed ${um(now.squeeze_travel_m)}`;
    const left = both - now.squeeze_travel_m;
    return left > 5e-8 ? `film of melt ${um(left)}` : "freezing";
  }

  /** The current's ways through the sheet to the clamps, left and right of the stud. */
  paths(now) {
    const y = FACE + this.thick - (this.thin ? 0.5 * this.thick : 11);
    const [css, down] = this.thin ? ["label", 0.5 * this.thick + 16] : ["label on-metal", 4];
    const [sides, clamps] = [[0, 0], [0, 0]];
    now.earths_A.forEach((amps, k) => {
      const lead = this.weld.rim.leads[k];
      if (!lead) return;
      sides[lead.x_m < 0 ? 0 : 1] += amps;
      clamps[lead.x_m < 0 ? 0 : 1] += 1;
    });
    const to = (k) => (this.narrow || this.around ? "" : clamps[k] > 1 ? ` to ${clamps[k]} clamps` : " to the clamp");
    const flows = sides[0] + sides[1] > 1;
    this.earths.replaceChildren(...(flows ? sides.flatMap((amps, k) => {
      if (amps < 1) return [];
      const way = k === 0 ? -1 : 1;
      const from = MIDDLE + way * 20;
      const width = 1 + 4 * Math.min(1, amps / this.earth_most);
      return [svg("line", { class: "current", "stroke-width": width.toFixed(1), x1: from, x2: MIDDLE + way * 90, y1: y, y2: y, "marker-end": `url(#${this.own("head")})` }),
        svg("text", { class: css, x: MIDDLE + way * (this.thin ? 20 : 100), y: y + down, "text-anchor": way < 0 ? "end" : "start" }, `${amperes(amps)}${to(k)}`)];
    }) : []));
  }

  bolted(now) {
    for (const name of ["film", "hole", "pool", "warm", "fillet", "ellipse", "sparks", "dimension"]) show(this[name], false);
    for (const label of [this.gap, this.melt, this.pool_words]) label.textContent = "";
    this.paths(now);
  }
}
