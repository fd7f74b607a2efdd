// What the program refuses, in words for a page: no line of a command, no frame round it.

import { byId, el } from "./dom.js";

/** The sentences of an error, without the excerpt that a terminal shows, but with what it proposes. */
export function plain_words(text) {
  const proposal = /\^+ (did you mean `[^`]+`\?)/.exec(text);
  const excerpt = /^\s*(-->|\d* *\|)/;
  const kept = text.split("\n").map((line) => line.replace(/^error: /, "").trimEnd()).filter((line) => line.trim() && !excerpt.test(line));
  if (proposal) kept.push(`${proposal[1][0].toUpperCase()}${proposal[1].slice(1)}`);
  return kept.join("\n").replaceAll("`", "");
}

/** Why a request came to nothing. */
export const reason = (error) => (error instanceof TypeError ? "The program does not respond. Is it still running?" : error.message);

/** Shows an error, away from the control in use; no text takes the last one off. */
export function complain(text) {
  const place = byId("message");
  const close = el("button", { type: "button", onclick: () => (place.hidden = true) }, "Close");
  place.replaceChildren(close, plain_words(text));
  place.hidden = !text;
  const used = document.activeElement?.getBoundingClientRect();
  place.classList.toggle("high", Boolean(used) && used.top > 0.5 * innerHeight);
}
