// Elements, made in one line.

const SVG = "http://www.w3.org/2000/svg";

/** Make an HTML element: make("p", {class: "lead"}, "words", another). Functions become listeners. */
export function make(tag, attributes = {}, ...children) {
  return dressed(document.createElement(tag), attributes, children);
}

/** Make an SVG element likewise. */
export function draw(tag, attributes = {}, ...children) {
  return dressed(document.createElementNS(SVG, tag), attributes, children);
}

function dressed(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value);
  }
  const there = children.flat().filter((child) => child !== null && child !== undefined);
  element.append(...there.map((child) => (typeof child === "string" ? unbroken(child) : child)));
  return element;
}

/** Words in which no figure is parted from the sign or unit behind it at the end of a line. */
export function unbroken(words) {
  return words.replace(/(\d) (%|(?:mm|cm|s)\b)/g, "$1\u00a0$2");
}

/** Whether the person wants things to stand still. */
export function calm() {
  return matchMedia("(prefers-reduced-motion: reduce)").matches;
}
