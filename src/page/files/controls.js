// Sliders, choices and switches over keys of the case.

import { byId, el } from "./dom.js";
import { three } from "./words.js";

const UNITS = { mm2: "mm²", mohm: "mΩ", uH: "µH", deg: "°", "N/mm": "N/mm" };
/** Steps of a logarithmic slider. */
const RATIOS = 100;

/** The keys of a control: one, or that of every earth lead. */
function keys(control, weld) {
  if (!control.key.includes("earth.N.")) return [control.key];
  return weld.rim.leads.map((lead) => control.key.replace("earth.N", lead.key));
}

export class Controls {
  /** `change` gets pairs of key and text, and whether the slider is still held. */
  constructor(start, change, fault) {
    this.change = change;
    this.all = start.controls.map((control) => new MAKERS[control.kind](control, this));
    // On a narrow page every group is closed, so that all are near the stage.
    const narrow = matchMedia("(max-width: 640px)").matches;
    const groups = [...new Set(start.controls.map((c) => c.group))];
    const panels = groups.map((group) => {
      const inside = (first) => this.all.filter((c) => c.control.group === group && c.control.first === first).map((c) => c.root);
      const [first, rest] = [inside(true), inside(false)];
      const open = first.length > 0 && !narrow;
      const more = rest.length ? el("details", { class: "more" }, el("summary", {}, "more"), ...rest) : null;
      return el("details", { class: "group", open }, el("summary", {}, group), ...(first.length ? [...first, more] : rest));
    });
    this.switches = start.faults.map(({ name, about }) => {
      const box = el("input", { type: "checkbox", onchange: () => fault(name, box.checked) });
      return { name, box, root: el("label", { class: "fault" }, box, about) };
    });
    this.count = el("span", { class: "soft" });
    const faults = el("details", { class: "group", id: "faults" }, el("summary", {}, "faults ", this.count), ...this.switches.map((s) => s.root));
    byId("controls").replaceChildren(faults, ...panels);
  }

  /** Sets every control to the weld's value, except one that has moved on; marks the base's value. */
  show(weld, base, state, moved_on) {
    [this.weld, this.moved_on] = [weld, moved_on];
    for (const control of this.all) {
      const value = weld.values[control.control.key];
      control.root.hidden = value === undefined;
      if (value === undefined) continue;
      control.show(value, base?.values[control.control.key]);
      const [differ, differed] = [weld.differ[control.control.key], base?.differ[control.control.key]];
      if (control.each) control.tell(differ);
      if (base && differ !== differed) control.root.classList.add("moved");
    }
    for (const { name, box } of this.switches) box.checked = state.faults.includes(name);
    const on = state.faults.length;
    this.count.textContent = on ? `${on} on` : "";
  }

  /** Moves the control of a key into another place; the one moved before goes back. */
  lend(key, place) {
    this.lent?.home.replaceWith(this.lent.root);
    this.lent = null;
    const found = this.all.find((one) => one.control.key === key);
    if (!found) return;
    const home = document.createComment(key);
    found.root.replaceWith(home);
    place.append(found.root);
    this.lent = { home, root: found.root };
  }

  told(control, text, going) {
    this.change(keys(control, this.weld).map((key) => [key, text]), going);
  }
}

/** A slider with a number that can be typed. */
class Slider {
  constructor(control, owner) {
    [this.control, this.owner] = [control, owner];
    this.unit = UNITS[control.unit] ?? control.unit;
    // A press of an arrow key is one step of the value.
    this.steps = control.log ? RATIOS : Math.round((control.most - control.least) / control.step);
    const id = `c-${control.key}`;
    this.text = el("input", { type: "text", id, autocomplete: "off", spellcheck: "false", title: control.about, onchange: () => this.typed(), onkeydown: (e) => e.key === "Escape" && this.show(this.value, this.base) });
    this.slider = el("input", { type: "range", min: 0, max: this.steps, step: 1, "aria-label": `${control.label} (${control.about})`,
      oninput: () => this.moved(true), onchange: () => this.moved(false) });
    if (control.words.length) {
      const list = `${id}-words`;
      this.text.setAttribute("list", list);
      this.words = el("datalist", { id: list }, ...control.words.map((value) => el("option", { value })));
    }
    if (control.key.includes("earth.N.")) this.each = el("p", { class: "each", hidden: true });
    this.root = el("div", { class: "control" }, el("label", { for: id, title: control.about }, control.label), this.text, this.words, this.slider, this.each);
  }

  /** Position of a value between the slider's ends, from 0 to 1. */
  share(value) {
    const { least, most, log } = this.control;
    const share = log ? Math.log(Math.max(value, least) / least) / Math.log(most / least) : (value - least) / (most - least);
    return Math.min(1, Math.max(0, share));
  }

  /** The step nearest to a value. */
  step(value) {
    return Math.round(this.share(value) * this.steps);
  }

  /** The value of a step. */
  value_at(step) {
    const { least, most, log } = this.control;
    return log ? least * (most / least) ** (step / this.steps) : Math.min(most, least + step * this.control.step);
  }

  /** Number and unit as the case file takes them. */
  wanted(value, digits = 4) {
    const number = Number(value.toPrecision(digits));
    if (this.control.key === "sheet.centre_mark" && number === 0) return "none";
    return this.control.unit ? `${number} ${this.control.unit}` : `${number}`;
  }

  written(value) {
    const number = Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(4)));
    if (this.control.key === "sheet.centre_mark" && value === 0) return "none";
    return this.unit === "°" ? `${number}°` : this.unit ? `${number} ${this.unit}` : number;
  }

  moved(going) {
    const text = this.wanted(this.value_at(this.slider.valueAsNumber));
    this.owner.told(this.control, text, going);
  }

  typed() {
    const text = this.text.value.trim().replace(",", ".").replace("°", " deg").replace("²", "2");
    this.entered = true;
    const bare = text !== "" && Number.isFinite(Number(text));
    this.owner.told(this.control, bare ? this.wanted(Number(text), 12) : text, false);
  }

  show(value, base) {
    [this.value, this.base] = [value, base];
    this.place(this.number(value), base === undefined ? undefined : this.number(base));
    // Keep text being typed; show entered text as interpreted.
    if (document.activeElement !== this.text || this.entered) this.text.value = this.written(value);
    this.entered = false;
  }

  /** The values of all earth leads where they differ, instead of the first one's. */
  tell(differ) {
    this.each.hidden = !differ;
    this.each.textContent = differ ?? "";
    if (!differ) return;
    if (document.activeElement !== this.text) this.text.value = "differ";
    this.slider.setAttribute("aria-valuetext", `they differ: ${differ}`);
  }

  place(value, base) {
    if (!this.owner.moved_on || document.activeElement !== this.slider) this.slider.value = this.step(value);
    const moved = base !== undefined && base !== value;
    this.root.classList.toggle("moved", moved);
    this.slider.style.setProperty("--at", `${100 * this.share(value)}%`);
    this.slider.style.setProperty("--base", `${100 * this.share(moved ? base : value)}%`);
    this.slider.setAttribute("aria-valuetext", this.written(this.value));
  }

  number(value) {
    return value;
  }
}

/** A joint: a name, or a resistance on a logarithmic slider. */
class Joint extends Slider {
  written({ text, mohm }) {
    const size = `${Number(three(mohm))} mΩ`;
    if (text === "tight") return text;
    return this.control.words.includes(text) ? `${text} ${size}` : size;
  }

  wanted(value) {
    // The step of a preset's resistance means the preset.
    const near = this.control.named.find(([, r]) => this.step(r) === this.step(value));
    return near ? near[0] : `${Number(value.toPrecision(3))} mohm`;
  }

  typed() {
    const all = this.text.value.trim().replace(",", ".").replace("Ω", "ohm");
    // "loose 5 mΩ" means the number, which is the edited part.
    const [word, ...rest] = all.split(" ");
    const text = this.control.words.includes(word) && rest.length ? rest.join(" ") : all;
    this.entered = true;
    this.owner.told(this.control, Number.isFinite(Number(text)) && text !== "" ? `${text} mohm` : text, false);
  }

  number({ mohm }) {
    return mohm;
  }

  place(value, base) {
    super.place(value, base);
    const moved = this.base !== undefined && (this.base.mohm !== this.value.mohm || this.base.text !== this.value.text);
    this.root.classList.toggle("moved", moved);
  }
}

/** A choice of a few words. */
class Choice {
  constructor(control, owner) {
    this.control = control;
    const id = `c-${control.key}`;
    this.pick = el("select", { id, title: control.about, onchange: () => owner.told(control, this.pick.value, false) }, ...control.words.map((word) => el("option", { value: word }, word)));
    this.root = el("div", { class: "control choice" }, el("label", { for: id }, control.label), this.pick);
  }

  show(value, base) {
    if (!this.control.words.includes(value) && ![...this.pick.options].some((o) => o.value === value)) this.pick.append(el("option", { value }, value));
    this.pick.value = value;
    this.root.classList.toggle("moved", base !== undefined && base !== value);
  }
}

export const MAKERS = { number: Slider, joint: Joint, choice: Choice };
