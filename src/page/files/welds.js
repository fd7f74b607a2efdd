// My welds: a table of test welds, what they say of the rig, and the rig as they say it is.

import { byId, el } from "./dom.js";
import { plain_words, reason } from "./complaint.js";
import { keep, recall } from "./memory.js";
import { pair_of } from "./words.js";
import { addable, cell_of, from_csv, HEADS, parts_of, SEEN, to_csv } from "./table.js";
import { learnt } from "./learnt.js";

/** Where the table survives a reload. */
const KEPT_TABLE = "welds";

/** Most welds the program learns from on a page. */
const MOST_WELDS = 60;

const KNOWN = "uncertainty.";
const ON = "calibrated on ";

const label_of = (head, controls) => {
  const { name, unit } = parts_of(head);
  const found = SEEN.find((c) => c.name === name)?.label ?? controls.find((c) => c.key === name)?.label ?? name;
  return unit ? `${found} [${unit}]` : found;
};

export class MyWelds {
  constructor(start, desk) {
    [this.controls, this.desk] = [start.controls, desk];
    this.table = this.kept() ?? { heads: [...HEADS], rows: [], before: [], used: [] };
    this.grid = el("div", { class: "welds", role: "table", "aria-label": "Test welds" });
    this.lists = el("div", {});
    this.count = el("p", { class: "soft" });
    this.wrong = el("p", { class: "wrong", role: "alert", hidden: true });
    this.rig = el("p", { class: "rig", role: "status" });
    this.result = el("div", { class: "learnt", role: "status" });
    this.button = el("button", { type: "button", id: "learn", onclick: () => this.learn() }, "Learn from these welds");
    this.root = el("div", { class: "my-welds" },
      el("p", { class: "soft" }, "What you set and what you saw, weld by weld. An empty cell says nothing, which is better than a guess. What has no column is as on this page."),
      this.rig, this.grid, this.lists,
      el("p", { class: "actions" }, el("button", { type: "button", id: "add-weld", onclick: () => this.add() }, "Add a weld as the page is set"), this.adder(), this.button),
      this.count, this.wrong, this.files(), this.result);
    this.draw();
  }

  /** The table of the last visit; nothing where the browser keeps none. */
  kept() {
    const { heads, rows, before, used } = recall(KEPT_TABLE) ?? {};
    const texts = (list) => Array.isArray(list) && list.every((t) => typeof t === "string");
    const lists = [rows, before, used].every(Array.isArray);
    return lists && texts(heads) && rows.every((row) => texts(row) && row.length === heads.length) ? { heads, rows, before, used } : null;
  }

  keep() {
    keep(KEPT_TABLE, this.table);
  }

  opened() {
    this.told();
    if (this.answer) this.show();
  }

  closed() {
    this.asking?.abort();
  }

  fired(open) {
    if (open) this.told();
  }

  /** The page's overrides without those of a calibration, and with what stood in their place. */
  plain() {
    const sets = this.desk.sets();
    const { used, before } = this.table;
    const known = [...sets.keys()].filter((key) => key.startsWith(KNOWN));
    // Where the browser has kept nothing, what has a spread was learnt.
    const learnt = used.length ? used.filter(([key, text]) => sets.get(key) === text).map(([key]) => key) : known.map((key) => key.slice(KNOWN.length));
    if (sets.get("title")?.includes(ON)) learnt.push("title");
    for (const key of [...learnt, ...known]) sets.delete(key);
    for (const [key, text] of before) if (learnt.includes(key)) sets.set(key, text);
    return sets;
  }

  /** Whether the page shows a calibrated rig. */
  told() {
    const title = this.desk.sets().get("title") ?? "";
    const on = title.includes(ON);
    const back = on ? el("button", { type: "button", id: "uncalibrated", onclick: () => this.desk.put(this.plain()) }, "Back to the rig as it was") : null;
    this.rig.replaceChildren(...(on ? [el("strong", {}, `This page shows the rig ${title.slice(title.indexOf(ON))}. `), back] : []));
  }

  changed() {
    this.keep();
    this.draw();
    this.result.classList.add("stale");
    this.complain("");
  }

  add() {
    if (this.table.rows.length >= MOST_WELDS) return this.complain(`More than ${MOST_WELDS} welds: calibrate them with the program itself.`);
    this.table.rows.push(this.table.heads.map((head) => cell_of(head, this.desk.weld())));
    this.changed();
    const cells = this.grid.querySelectorAll("[role=row]:last-child :is(input, select)");
    const first = this.table.heads.findIndex((head) => SEEN.some((c) => c.name === parts_of(head).name));
    cells[Math.max(0, first)]?.focus();
    return undefined;
  }

  adder() {
    const pick = el("select", { id: "add-column", "aria-label": "Add a column" });
    const fill = () => {
      const left = addable(this.controls).filter(({ head }) => !this.table.heads.some((h) => parts_of(h).name === parts_of(head).name));
      const group = (of, label) => el("optgroup", { label }, ...left.filter((c) => c.group === of).map((c) => el("option", { value: c.head }, c.label)));
      pick.replaceChildren(el("option", { value: "" }, "Add a column"), group("seen", "what was seen"), group("set", "what was set"));
    };
    pick.addEventListener("change", () => {
      const head = pick.value;
      this.table.heads.push(head);
      for (const row of this.table.rows) row.push(cell_of(head, this.desk.weld()));
      this.changed();
    });
    this.refill = fill;
    return pick;
  }

  files() {
    const file = el("input", { type: "file", id: "welds-file", accept: ".csv,text/csv", onchange: async () => {
      const [chosen] = file.files;
      if (chosen) this.read(await chosen.text());
      file.value = "";
    } });
    const text = el("textarea", { id: "welds-text", rows: 5, spellcheck: "false", "aria-label": "Table as CSV" });
    return el("details", { class: "files" }, el("summary", {}, "Save, read or paste the table (CSV)"),
      el("p", { class: "actions" }, el("button", { type: "button", id: "save-welds", onclick: () => this.save() }, "Save as welds.csv"),
        el("label", { class: "file" }, "Read a file ", file),
        el("button", { type: "button", id: "clear-welds", onclick: () => this.clear() }, "Empty the table")),
      text, el("p", { class: "actions" }, el("button", { type: "button", id: "paste-welds", onclick: () => this.read(text.value) }, "Use the pasted table")));
  }

  save() {
    const url = URL.createObjectURL(new Blob([to_csv(this.table)], { type: "text/csv" }));
    el("a", { href: url, download: "welds.csv" }).click();
    setTimeout(() => URL.revokeObjectURL(url), 1000);
  }

  clear() {
    Object.assign(this.table, { heads: [...HEADS], rows: [] });
    this.answer = null;
    this.result.replaceChildren();
    this.changed();
  }

  read(text) {
    try {
      Object.assign(this.table, from_csv(text, MOST_WELDS));
    } catch (error) {
      return this.complain(error.message);
    }
    this.changed();
    return this.learn();
  }

  draw() {
    const { heads, rows } = this.table;
    const labels = heads.map((head) => label_of(head, this.controls));
    const kinds = heads.map((head, k) => this.kind(head, k));
    this.lists.replaceChildren(...kinds.filter(({ list }) => list).map(({ list, words }) => el("datalist", { id: list }, ...words.map((word) => el("option", { value: word })))));
    const head = labels.map((label, k) => el("span", { role: "columnheader", title: SEEN.find((c) => c.name === parts_of(heads[k]).name)?.about }, label,
      k > 0 ? el("button", { type: "button", class: "bare", "aria-label": `Remove the column ${label}`, title: "Remove this column", onclick: () => this.drop(k) }, "×") : null));
    const lines = rows.map((row, n) => el("div", { role: "row" }, el("span", { role: "rowheader" }, `${n + 1}`),
      ...row.map((_, k) => el("span", { role: "cell" }, el("span", { class: "cell-label", "aria-hidden": "true" }, labels[k]), this.cell(n, k, labels[k], kinds[k]))),
      el("span", { role: "cell" }, el("button", { type: "button", class: "bare", "aria-label": `Delete weld ${n + 1}`, title: "Delete this weld", onclick: () => this.remove(n) }, "×"))));
    this.grid.style.setProperty("--columns", heads.length);
    this.grid.replaceChildren(el("div", { role: "row", class: "heads" }, el("span", { role: "columnheader" }, "weld"), ...head, el("span", { role: "columnheader" }, el("span", { class: "hidden" }, "delete"))), ...lines);
    this.count.textContent = rows.length ? "" : "No welds yet. Set the page as you set the rig, add the weld, and choose what you saw; or read a table.";
    this.button.disabled = rows.length === 0;
    this.refill();
  }

  /** What a column takes: a unit, words of a list, or only these words. */
  kind(head, k) {
    const { name, unit } = parts_of(head);
    const control = this.controls.find((c) => c.key === name);
    const { words, only, about } = SEEN.find((c) => c.name === name) ?? { words: control?.words, only: control?.kind === "choice", about: control?.about };
    return { unit, words, only, about, list: words?.length && !only ? `welds-${k}` : undefined };
  }

  cell(n, k, label, { unit, words, only, about, list }) {
    const value = this.table.rows[n][k];
    const take = (text) => {
      this.table.rows[n][k] = text.trim();
      this.keep();
      this.result.classList.add("stale");
    };
    const shared = { "aria-label": `weld ${n + 1}, ${label}`, title: about, onchange: (e) => take(e.target.value) };
    if (only) {
      const all = words.includes(value) || value === "" ? words : [...words, value];
      const pick = el("select", shared, ...["", ...all].map((word) => el("option", { value: word }, word || "–")));
      pick.value = value;
      return pick;
    }
    return el("input", { type: "text", value, list, autocomplete: "off", spellcheck: "false", inputmode: unit ? "decimal" : undefined, ...shared });
  }

  remove(n) {
    this.table.rows.splice(n, 1);
    this.changed();
    byId("add-weld").focus();
  }

  drop(k) {
    this.table.heads.splice(k, 1);
    for (const row of this.table.rows) row.splice(k, 1);
    this.changed();
    byId("add-column").focus();
  }

  complain(text) {
    this.wrong.textContent = plain_words(text);
    this.wrong.hidden = !text;
    for (const cell of this.grid.querySelectorAll("[aria-invalid]")) cell.removeAttribute("aria-invalid");
  }

  /** What is wrong with the table, at its cell. */
  point({ line, column, error, nearest }) {
    const k = column ? this.table.heads.findIndex((head) => head === column || parts_of(head).name === parts_of(column).name) : -1;
    const where = [line > 1 ? `weld ${line - 1}` : line ? "heads" : null, column ? label_of(column, this.controls) : null].filter(Boolean).join(", ");
    this.complain(`${where ? `${where}: ` : ""}${error}${nearest ? `. Did you mean ${nearest}?` : ""}`);
    if (k < 0 || !(line > 1)) return;
    const cell = this.grid.querySelectorAll("[role=row]")[line - 1]?.querySelectorAll(":is(input, select)")[k];
    cell?.setAttribute("aria-invalid", "true");
    cell?.focus();
  }

  async learn() {
    this.asking?.abort();
    const asking = (this.asking = new AbortController());
    this.complain("");
    [this.button.disabled, this.button.textContent] = [true, "Learning …"];
    this.root.setAttribute("aria-busy", "true");
    try {
      const answer = await fetch("learn", { method: "POST", body: this.desk.pairs(this.plain(), [["table", to_csv(this.table)]]), signal: asking.signal });
      const text = await answer.text();
      if (answer.ok) {
        this.answer = JSON.parse(text);
        this.show();
      } else if (answer.headers.get("content-type")?.startsWith("application/json")) this.point(JSON.parse(text));
      else this.complain(text);
    } catch (error) {
      if (!asking.signal.aborted) this.complain(reason(error));
    }
    if (this.asking !== asking) return;
    [this.button.disabled, this.button.textContent] = [this.table.rows.length === 0, "Learn from these welds"];
    this.root.removeAttribute("aria-busy");
  }

  show() {
    const wide = Math.max(280, this.result.clientWidth || this.root.clientWidth);
    this.result.classList.remove("stale");
    const act = {
      next: (values) => this.desk.change(values),
      use: (sets) => this.use(sets),
    };
    this.result.replaceChildren(...learnt(this.answer, wide, act));
    for (const [line] of this.answer.told.suspects) this.grid.querySelectorAll("[role=row]")[line - 1]?.classList.add("doubtful");
  }

  /** Puts the learnt values on the page's weld, but for what is set weld by weld; what they replace is kept for the way back. */
  use(sets) {
    const plain = this.plain();
    const columns = this.table.heads.map((head) => parts_of(head).name);
    const pairs = sets.map(pair_of).filter(([key]) => !columns.includes(key));
    this.table.before = pairs.filter(([key]) => plain.has(key)).map(([key]) => [key, plain.get(key)]);
    this.table.used = pairs.filter(([key]) => !key.startsWith(KNOWN));
    this.keep();
    for (const [key, text] of pairs) {
      plain.delete(key);
      plain.set(key, text);
    }
    return this.desk.put(plain);
  }
}
