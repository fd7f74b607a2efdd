// For a projector: the weld, its joules and the verdict in letters that the last row reads; a lesson's card where one is open.

import { byId } from "./dom.js";

/** Height of the smallest letters: on the page [px], and as a share of the screen's height. */
const SMALLEST = 11.5;
const READABLE = 0.025;

/** Has a button and the key P present, and Escape end it. */
export function presenting() {
  const { body } = document;
  const on = () => body.classList.contains("present");
  const fit = () => body.style.setProperty("--zoom", on() ? (READABLE * innerHeight) / SMALLEST : 1);
  const turn = (wanted) => {
    body.classList.toggle("present", wanted);
    fit();
    if (wanted) document.documentElement.requestFullscreen?.().catch(() => {});
    else if (document.fullscreenElement) document.exitFullscreen();
  };
  addEventListener("resize", fit);
  // Escape leaves the full screen by itself.
  document.addEventListener("fullscreenchange", () => !document.fullscreenElement && on() && turn(false));
  document.addEventListener("keydown", (event) => {
    const typing = event.target.closest("input:not([type=range], [type=checkbox]), select, textarea");
    if (typing || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "p" || event.key === "P") turn(!on());
    if (event.key === "Escape" && on()) turn(false);
  });
  byId("present").addEventListener("click", () => turn(true));
}
