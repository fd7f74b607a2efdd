// Elements, made short.

const SVG = "http://www.w3.org/2000/svg";

export const byId = (id) => document.getElementById(id);

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value != null) node.setAttribute(name, value);
  }
  node.append(...children.flat().filter((child) => child != null));
  return node;
}

/** An HTML element. */
export const el = (tag, attributes, ...children) =>
  fill(document.createElement(tag), attributes, children);

/** An SVG element. */
export const svg = (tag, attributes, ...children) =>
  fill(document.createElementNS(SVG, tag), attributes, children);

/** Sets attributes of an element that is there. */
export function put(node, attributes) {
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
}

/** Shows or hides an SVG element. */
export const show = (node, on) => node.setAttribute("visibility", on ? "visible" : "hidden");
