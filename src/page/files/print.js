// One sheet of A4: what is folded away on the screen and belongs on paper is unfolded for it.

import { byId } from "./dom.js";

/** Details that a sheet shows: the cautions, and what stands under the verdict but its long tables. */
const UNFOLDED = "#cautions, #why";

/** Unfolds the page for the printer and folds it again; the Print button asks for the sheet. */
export function printing() {
  let opened = [];
  addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll(UNFOLDED)].filter((details) => !details.open);
    for (const details of opened) details.open = true;
  });
  addEventListener("afterprint", () => {
    for (const details of opened) details.open = false;
  });
  byId("print").addEventListener("click", () => print());
}
