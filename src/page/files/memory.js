// What the browser keeps; where it keeps nothing, the page does without.

const SHELF = "arcplunge.";

/** From visit to visit, or until the page is closed. */
const FOR_GOOD = "localStorage";
export const WHILE_OPEN = "sessionStorage";

/** What was kept under a name; null where nothing is. */
export function recall(name, how_long = FOR_GOOD) {
  try {
    return JSON.parse(globalThis[how_long].getItem(SHELF + name));
  } catch {
    return null;
  }
}

/** Keeps a value under a name, as far as the browser allows it. */
export function keep(name, value, how_long = FOR_GOOD) {
  try {
    globalThis[how_long].setItem(SHELF + name, JSON.stringify(value));
  } catch {
    // A private window or a full shelf: the page forgets.
  }
}
