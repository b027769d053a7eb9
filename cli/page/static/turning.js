// How far wheel and flyer have turned at each moment, and the lines that show it on the clip.

import { draw } from "./dom.js";

/** The value at a moment between samples (times rise). */
export function at(times, values, moment) {
  let low = 0;
  let high = times.length - 1;
  if (moment <= times[0]) return values[0];
  if (moment >= times[high]) return values[high];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (times[middle] <= moment) low = middle;
    else high = middle;
  }
  const share = (moment - times[low]) / (times[high] - times[low]);
  return values[low] + share * (values[high] - values[low]);
}

/** Where an angle lies on an outline whose points go round anticlockwise from the right in even steps. */
function onOutline(outline, angle) {
  const turn = angle / (2 * Math.PI);
  const place = (turn - Math.floor(turn)) * outline.length;
  const one = outline[Math.floor(place) % outline.length];
  const next = outline[(Math.floor(place) + 1) % outline.length];
  const share = place - Math.floor(place);
  return [one[0] + share * (next[0] - one[0]), one[1] + share * (next[1] - one[1])];
}

function closed(points) {
  return `M${points.map(([x, y]) => `${x} ${y}`).join("L")}Z`;
}

/** Lines over the clip: where wheel and flyer were followed, and for each a marker from its middle outward. */
export class TurningLines {
  constructor(drawing, found) {
    this.found = found;
    this.markers = {};
    drawing.replaceChildren();
    for (const [kind, outline] of [["wheel", found.wheel], ["flyer", found.flyer]]) {
      if (!outline) continue;
      const d = closed(outline);
      this.markers[kind] = ["seam marker", `line marker ${kind}`].map((name) => draw("path", { class: name }));
      drawing.append(draw("path", { class: "seam", d }), draw("path", { class: `line ${kind}`, d }), ...this.markers[kind]);
    }
  }

  turn(wheelAngle, flyerAngle) {
    this.#point("wheel", this.found.hub, this.found.wheel, wheelAngle);
    if (flyerAngle !== null) this.#point("flyer", this.found.flyer_at, this.found.flyer, flyerAngle);
  }

  #point(kind, middle, outline, angle) {
    if (!this.markers[kind]) return;
    const [x, y] = onOutline(outline, angle);
    for (const marker of this.markers[kind]) marker.setAttribute("d", `M${middle[0]} ${middle[1]}L${x} ${y}`);
  }
}
