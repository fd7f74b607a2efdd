// Views that take the place of the stage: a shift of the weld, and one's own test welds.

import { byId, el } from "./dom.js";
import { ShiftView } from "./plan.js";
import { MyWelds } from "./welds.js";

/** Adds the views behind their buttons; `desk` is what they may know of the page's weld and do to it. */
export function shopping(start, desk) {
  document.head.append(el("link", { rel: "stylesheet", href: "shop.css" }));
  const close = el("button", { type: "button", class: "close", title: "Back to the weld (Escape)", onclick: () => turn(null) }, "Back to the weld");
  const title = el("h2", { tabindex: "-1" });
  const inside = el("div", { class: "inside" });
  const place = el("section", { id: "shop", hidden: true, "aria-labelledby": "shop-title" }, el("div", { class: "line" }, title, close), inside);
  title.id = "shop-title";
  byId("stage").before(place);
  const views = [
    { button: byId("shift-open"), name: "A shift of this weld", view: new ShiftView(desk) },
    { button: byId("welds-open"), name: "My welds", view: new MyWelds(start, desk) },
  ];
  let open = null;

  function turn(wanted) {
    const from = open;
    open = wanted;
    document.body.classList.toggle("shopping", Boolean(open));
    place.hidden = !open;
    for (const one of views) one.button.setAttribute("aria-expanded", one === open);
    from?.view.closed();
    if (!open) {
      if (place.contains(document.activeElement) || document.activeElement === document.body) from?.button.focus();
      return;
    }
    title.textContent = open.name;
    inside.replaceChildren(open.view.root);
    open.view.opened();
    title.focus();
    place.scrollIntoView({ block: "nearest" });
  }

  for (const one of views) one.button.addEventListener("click", () => turn(open === one ? null : one));
  // A lesson is about what the stage shows.
  byId("lessons-open").addEventListener("click", () => turn(null));
  document.addEventListener("fired", () => views.forEach(({ view }) => view.fired(view === open?.view)));
  document.addEventListener("keydown", (event) => {
    const busy = event.defaultPrevented || document.body.classList.contains("present") || event.target.closest("#controls input");
    if (event.key === "Escape" && open && !busy) turn(null);
  });
}
