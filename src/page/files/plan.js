// The shift: how many welds at what pace, the answer in words, and its curves.

import { el } from "./dom.js";
import { ShiftChart } from "./chart.js";
import { plain_words, reason } from "./complaint.js";

/** Ends of the slider [welds/min]. */
const [SLOWEST, FASTEST] = [1, 120];

/** Steps of the slider, each the same ratio. */
const PACE_STEPS = 120;

/** The hand rests when nothing has changed for this long [ms]. */
const PAUSE = 150;

const share_of = (pace) => Math.min(1, Math.max(0, Math.log(pace / SLOWEST) / Math.log(FASTEST / SLOWEST)));
const pace_at = (step) => Number((SLOWEST * (FASTEST / SLOWEST) ** (step / PACE_STEPS)).toPrecision(3));

/** Welds a minute of "12/min", "700/h" or a bare number; nothing where it is none of them. */
function per_minute(text) {
  const [, number, unit] = /^\s*([\d.,]+)\s*(?:\/\s*(min|h|s))?\s*$/.exec(text) ?? [];
  const factor = { min: 1, h: 1 / 60, s: 60 }[unit ?? "min"];
  return number ? Number(number.replace(",", ".")) * factor : undefined;
}

export class ShiftView {
  constructor(desk) {
    this.desk = desk;
    const field = (id, value, about) => el("input", { type: "text", id, value, title: about, autocomplete: "off", spellcheck: "false", onchange: () => this.typed() });
    this.pace = field("shift-pace", "12/min", "Welds per time that the welder tries to keep, as 12/min or 700/h");
    this.welds = field("shift-welds", "1000", "Number of welds, up to 5000");
    this.welds.setAttribute("inputmode", "numeric");
    this.breaks = field("shift-breaks", "", "Length of a break and when it begins, as 30min@2h; several parted by commas");
    this.breaks.setAttribute("placeholder", "30min@2h");
    this.slider = el("input", { type: "range", min: 0, max: PACE_STEPS, step: 1, "aria-label": "pace", oninput: () => this.moved() });
    this.word = el("p", { class: "word" });
    this.sentence = el("p", {});
    this.fastest = el("p", { class: "fastest" });
    this.answer = el("div", { class: "answer", role: "status" }, this.word, this.sentence, this.fastest);
    this.wrong = el("p", { class: "wrong", role: "alert", hidden: true });
    this.drawing = el("div", { class: "shift-chart" });
    this.more = el("ul", { class: "soft" });
    this.how = el("p", { class: "soft" });
    this.report = el("a", { download: "shift.html" }, "Report of this shift to print (HTML)");
    this.root = el("div", { class: "shift" },
      el("div", { class: "plan" },
        el("div", { class: "control pace" }, el("label", { for: "shift-pace" }, "pace"), this.pace, this.slider),
        el("div", { class: "control" }, el("label", { for: "shift-welds" }, "welds"), this.welds),
        el("div", { class: "control" }, el("label", { for: "shift-breaks" }, "breaks"), this.breaks)),
      this.wrong, this.answer, this.drawing, this.more, this.how, el("p", {}, this.report));
    this.chart = new ShiftChart(this.drawing);
    this.place();
  }

  opened() {
    this.open = true;
    this.ask();
  }

  closed() {
    this.open = false;
    clearTimeout(this.waiting);
    this.asking?.abort();
  }

  /** The page has fired another weld. */
  fired(open) {
    this.link();
    if (open) this.later();
  }

  extra() {
    const bare = /^[\d.,\s]+$/.test(this.pace.value) ? `${this.pace.value.trim().replace(",", ".")}/min` : this.pace.value;
    return [["pace", bare], ["welds", this.welds.value.replace(/\s/g, "")], ["breaks", this.breaks.value]];
  }

  /** The report, here and in the page's downloads, is of the same shift. */
  link() {
    const href = `take/shift.html?${this.desk.pairs(null, this.extra())}`;
    for (const link of [this.report, document.querySelector("[data-take='shift.html']")]) link?.setAttribute("href", href);
  }

  moved() {
    this.pace.value = `${pace_at(this.slider.valueAsNumber)}/min`;
    this.place(true);
    this.later();
  }

  typed() {
    this.place();
    this.later();
  }

  /** Puts the slider where the number is, and a tick where the fastest sound pace is. */
  place(by_hand = false) {
    const pace = per_minute(this.pace.value) ?? pace_at(this.slider.valueAsNumber);
    if (!by_hand) this.slider.value = Math.round(share_of(pace) * PACE_STEPS);
    this.slider.style.setProperty("--at", `${100 * share_of(pace)}%`);
    this.slider.style.setProperty("--base", `${100 * share_of(this.limit ?? pace)}%`);
    this.slider.setAttribute("aria-valuetext", `${this.pace.value}`);
  }

  later() {
    clearTimeout(this.waiting);
    this.asking?.abort();
    this.waiting = setTimeout(() => this.ask(), PAUSE);
  }

  async ask() {
    if (!this.desk.weld()) return;
    this.link();
    this.asking?.abort();
    const asking = (this.asking = new AbortController());
    this.root.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch("shift", { method: "POST", body: this.desk.pairs(null, this.extra()), signal: asking.signal });
      const text = await answer.text();
      if (asking.signal.aborted) return;
      if (answer.ok) this.show(JSON.parse(text));
      this.complain(answer.ok ? "" : text);
    } catch (error) {
      if (asking.signal.aborted) return;
      this.complain(reason(error));
    }
    this.root.removeAttribute("aria-busy");
  }

  complain(text) {
    this.wrong.textContent = plain_words(text);
    this.wrong.hidden = !text;
  }

  show({ told, curves, shift }) {
    const fine = { sound: "sound", "sound, too hot": "warm", "sound, borderline": "warm", "not always sound": "warm", "discharge test": "" }[told.word];
    this.word.className = `word ${fine ?? "not-sound"}`;
    this.word.textContent = told.word;
    this.sentence.textContent = told.sentence;
    const [fastest, ...rest] = told.points;
    this.fastest.textContent = fastest;
    this.more.replaceChildren(...rest.map((text) => el("li", {}, text)));
    this.how.textContent = `${told.how}. Heat data, wear and ageing are usual values or guesses: trust differences between paces more than any one temperature.`;
    this.limit = shift.fastest.pace_per_s ? 60 * shift.fastest.pace_per_s : undefined;
    this.place(true);
    this.chart.show(curves, shift.band);
  }
}
