// What the browser keeps from visit to visit; where it keeps nothing, the page does without.

const SHELF = "arcplunge.";

/** What was kept under a name; null where nothing is. */
export function recall(name) {
  try {
    return JSON.parse(localStorage.getItem(SHELF + name));
  } catch {
    return null;
  }
}

/** Keeps a value under a name, as far as the browser allows it. */
export function keep(name, value) {
  try {
    localStorage.setItem(SHELF + name, JSON.stringify(value));
  } catch {
    // A private window or a full shelf: the page forgets.
  }
}
