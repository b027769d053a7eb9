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
