// Plots, drawn for the width that they get so that their letters keep their size.

import { draw, make } from "./dom.js";

const MARGIN = { left: 44, right: 12, top: 22, bottom: 26 };

/** Round steps for an axis, about so many. */
export function ticks(low, high, count) {
  const rough = (high - low) / count || 1;
  const power = 10 ** Math.floor(Math.log10(rough));
  const steps = [0.5, 1, 2, 5, 10].map((each) => each * power);
  let at = steps.findIndex((each) => each >= rough);
  // One alone would tell no scale.
  if (Math.floor(high / steps[at]) - Math.ceil(low / steps[at]) < 1) at = Math.max(0, at - 1);
  const step = steps[at];
  const found = [];
  for (let tick = Math.ceil(low / step) * step; tick <= high + step * 1e-9; tick += step) found.push(Number(tick.toPrecision(8)));
  return found;
}

/**
 * A plot of points over a place in the page: {points, x: [low, high], y: [low, high], logarithmic, xTicks, yTicks,
 * lastTick, caption, told, marks}. `lastTick` says the last tick below, with its unit; `told` is for people who don't see
 * it. Marks are drawn by a function of (x, y) to pixels.
 */
export class Chart {
  constructor(place, plot) {
    Object.assign(this, { place, plot });
    place.hidden = false;
    this.drawing = draw("svg", { role: "img", "aria-label": plot.told });
    place.replaceChildren(make("figure", {}, make("figcaption", {}, plot.caption), this.drawing));
    new ResizeObserver(() => this.#lay()).observe(place);
    this.#lay();
  }

  across(value) {
    const { x, logarithmic } = this.plot;
    const of = logarithmic ? Math.log : (each) => each;
    const room = this.width - MARGIN.left - MARGIN.right;
    return MARGIN.left + (room * (of(value) - of(x[0]))) / (of(x[1]) - of(x[0]));
  }

  up(value) {
    const [low, high] = this.plot.y;
    return this.height - MARGIN.bottom - ((this.height - MARGIN.top - MARGIN.bottom) * (value - low)) / (high - low);
  }

  /** Put the cursor at a place on the axis, with its bead on the line. */
  cursorAt(x, y) {
    this.at = [x, y];
    if (!this.cursor) return;
    const left = this.across(x);
    this.cursor.setAttribute("transform", `translate(${left} 0)`);
    this.bead.setAttribute("cy", this.up(y));
  }

  #lay() {
    const style = getComputedStyle(this.place);
    this.width = this.place.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
    if (this.width < 50) return;
    const { points, x, y, xTicks, yTicks, lastTick = String, marks, follows } = this.plot;
    // On a phone the answer is to stand higher, above all where it comes below what goes in step with a clip.
    this.height = innerWidth >= 480 ? 190 : follows ? 104 : 132;
    const floor = this.height - MARGIN.bottom;
    this.drawing.setAttribute("viewBox", `0 0 ${this.width} ${this.height}`);
    const course = points.map(([px, py]) => `${this.across(px).toFixed(1)} ${this.up(py).toFixed(1)}`).join("L");
    const below = xTicks.filter((each) => each >= x[0] && each <= x[1]);
    const words = [
      ...below.map((each) => draw("text", { x: this.across(each), y: floor + 18, "text-anchor": "middle" }, each === below.at(-1) ? lastTick(each) : String(each))),
      ...yTicks.map((each) => draw("text", { x: MARGIN.left - 8, y: this.up(each) + 5, "text-anchor": "end" }, String(each))),
    ];
    const axis = draw("path", { class: "axis", d: `M${MARGIN.left} ${this.up(y[1])}V${floor}H${this.width - MARGIN.right}` });
    this.drawing.replaceChildren(axis, ...words, draw("path", { class: "course", d: `M${course}` }), ...(marks ? marks(this) : []));
    if (follows) {
      this.bead = draw("circle", { class: "bead", cx: 0, cy: floor, r: 6 });
      this.cursor = draw("g", {}, draw("path", { class: "cursor", d: `M0 ${MARGIN.top}V${floor}` }), this.bead);
      this.drawing.append(this.cursor);
      this.cursorAt(...(this.at ?? points[0]));
    }
  }
}
