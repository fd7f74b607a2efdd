// The way from a part of the drawing to the control that changes it.

import { byId } from "./dom.js";

/** The input of a key, or of the control that stands for all earth leads; none in a replay, which has no controls. */
export const control_of = (key) => byId(`c-${key}`) ?? byId(`c-${key.replace(/^earth\.\d/, "earth.N")}`);

/** Unfolds what a control lies in, and goes to it. */
export function reveal(control) {
  for (let up = control.parentElement; up; up = up.parentElement) if (up.tagName === "DETAILS") up.open = true;
  rail(true);
  control.scrollIntoView({ block: "center" });
  control.focus({ preventScroll: true });
}

/** Shows or hides the controls on a page of middle width, where they lie over the drawing. */
export function rail(open) {
  document.body.classList.toggle("rail", open);
  byId("rail").setAttribute("aria-expanded", open);
}
