// The buttons below a picture or clip.

import { make } from "./dom.js";
import { ZOOM_STEP } from "./stage.js";
import { w } from "./words.js";

/** A button with words. */
export function tool(words, act) {
  return make("button", { type: "button", class: "quiet", click: act }, w(words));
}

function sign(shown, words, act) {
  return make("button", { type: "button", class: "quiet sign", "aria-label": w(words), title: w(words), click: act }, shown);
}

/** Where the answer stands beside the picture, and not below it. */
const wide = matchMedia("(min-width: 60rem)");

/** What mends a picture or clip that was read wrongly; on a phone it is opened, so that the answer comes first. */
export function mending(words, ...children) {
  const how = document.getElementById("how");
  const more = make("details", { class: "mend" }, make("summary", {}, w(words)), make("div", { class: "row" }, ...children), how);
  const fold = () => (more.open = wide.matches);
  wide.addEventListener("change", fold);
  fold();
  return more;
}

/** Closer, farther, whole, and the lines shown or not. */
export function viewTools(stage) {
  const lines = tool("picture.lines", () => {
    lines.setAttribute("aria-pressed", stage.element.classList.toggle("bare") ? "false" : "true");
  });
  lines.setAttribute("aria-pressed", "true");
  return [
    sign("+", "picture.closer", () => stage.zoomBy(ZOOM_STEP)),
    sign("\u2212", "picture.farther", () => stage.zoomBy(1 / ZOOM_STEP)),
    tool("picture.whole", () => stage.whole()),
    lines,
  ];
}
