// A table of test welds as CSV: columns of what was set and of what was seen.

/** What may be seen: name, label, unit of a number, words, what it means; with `only` no other word is one. */
export const SEEN = [
  { name: "witness", label: "witness", words: ["full", "part", "none", "6:30-11:30"], about: "Melt round the rim: full, part, none, or missing between hours seen from above, as 6:30-11:30" },
  { name: "spatter", label: "spatter", words: ["little", "some", "much"], only: true, about: "little: hardly any; some: as usual; much: beads all round or an undercut rim" },
  { name: "bend", label: "bend", words: ["held", "broke 20 deg"], about: "held, or the angle at which it broke, as broke 20 deg" },
  { name: "back", label: "back", words: ["clean", "coloured", "dented", "holed"], only: true, about: "Back face of the sheet" },
  { name: "arc_time", label: "arc time", unit: "ms", about: "From an oscilloscope" },
  { name: "broke", label: "what broke", words: ["stud", "weld", "sheet", "held"], only: true, about: "What gave way when you pulled, twisted or hammered" },
  { name: "torque", label: "torque", words: ["12 Nm", "held 12 Nm"], about: "Torque at which it failed, or to which it was proved, as held 12 Nm" },
  { name: "peak_current", label: "peak current", unit: "kA", about: "From an oscilloscope" },
  { name: "melt", label: "melt", unit: "mm", about: "Depth of melt in the sheet, from a cut" },
];

const head_of = (name, unit) => (unit ? `${name} [${unit}]` : name);

/** Heads of an empty table. */
export const HEADS = ["bank.voltage [V]", ...SEEN.slice(0, 5).map((c) => head_of(c.name, c.unit))];

/** The heads that can be added: what may be seen, and the controls of single keys. */
export function addable(controls) {
  const keys = controls.filter((c) => !c.key.includes(".N.") && c.kind !== "text");
  const seen = SEEN.map((c) => ({ head: head_of(c.name, c.unit), label: c.label, group: "seen" }));
  return seen.concat(keys.map((c) => ({ head: head_of(c.key, c.kind === "number" ? c.unit : ""), label: `${c.group}: ${c.label}`, group: "set" })));
}

/** A head taken apart. */
export function parts_of(head) {
  const [, name, unit] = /^\s*(.*?)\s*(?:\[(.*)\])?\s*$/.exec(head);
  return { name, unit };
}

/** A cell as CSV writes it. */
const quoted = (cell, alone) => (/[",\n\r]|^\s|\s$|^#/.test(cell) || (alone && cell === "") ? `"${cell.replaceAll('"', '""')}"` : cell);

/** The table as CSV. */
export function to_csv({ heads, rows }) {
  const alone = heads.length === 1;
  return [heads, ...rows].map((cells) => `${cells.map((cell) => quoted(cell, alone)).join(",")}\n`).join("");
}

/** Cells of CSV, row by row; lines that begin with # and empty ones are left out. */
function cells_of(text) {
  const rows = [];
  let [row, cell, inside] = [[], "", false];
  const end = () => {
    row.push(cell);
    if (row.length > 1 || row[0].trim()) rows.push(row.map((c) => c.trim()));
    [row, cell] = [[], ""];
  };
  const clean = text.replace(/^\ufeff/, "").replace(/\r\n?/g, "\n").split("\n").filter((line) => !line.startsWith("#")).join("\n");
  for (let k = 0; k < clean.length; k++) {
    const c = clean[k];
    if (inside && c === '"' && clean[k + 1] === '"') {
      cell += c;
      k++;
    } else if (c === '"') inside = !inside;
    else if (c === "," && !inside) {
      row.push(cell);
      cell = "";
    } else if (c === "\n" && !inside) end();
    else cell += c;
  }
  end();
  return rows;
}

/** The table of a CSV text. */
export function from_csv(text, most) {
  const [heads, ...rows] = cells_of(text);
  if (!heads) throw new Error("The table is empty: its first line is a head, as in bank.voltage [V],witness");
  if (rows.length > most) throw new Error(`More than ${most} welds: calibrate them with the program itself`);
  const odd = rows.findIndex((row) => row.length !== heads.length);
  if (odd >= 0) throw new Error(`Weld ${odd + 1}: ${rows[odd].length} cells, expected ${heads.length} as in the head`);
  return { heads, rows };
}

/** The value a weld of the page has of a head's key, as a cell; empty for what is seen. */
export function cell_of(head, weld) {
  const value = weld?.values[parts_of(head).name];
  if (value === undefined) return "";
  if (typeof value !== "object") return String(value);
  return /^[a-z]/.test(value.text) ? value.text : `${value.mohm} mohm`;
}
