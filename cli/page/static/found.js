// What was found, drawn over the picture: a dark seam under every line, so that it shows on any ground.

import { draw } from "./dom.js";

function path(points, closed) {
  return `M${points.map(([x, y]) => `${x} ${y}`).join("L")}${closed ? "Z" : ""}`;
}

function line(kind, points, closed) {
  if (!points || points.length < 2) return [];
  const d = path(points, closed);
  return [draw("path", { class: "seam", d }), draw("path", { class: `line ${kind}`, d })];
}

/** Draw a reading's lines; gives the kinds that are there, for the legend. */
export function drawFound(drawing, found) {
  const lines = {
    reference: found.references.flatMap((each) => line("reference", each.outline, each.outline.length > 2)),
    rim: line("rim", found.rim, true),
    band: found.runs.flatMap((run) => line("band", run, false)),
    whirl: found.whirls.flatMap((each) => line("whirl", each.outline, true)),
  };
  drawing.replaceChildren(...Object.values(lines).flat());
  return Object.keys(lines).filter((kind) => lines[kind].length);
}

/** A point that lies at a share of the way round an outline. */
function along(outline, share) {
  return outline[Math.floor(share * outline.length) % outline.length];
}

/** Kinds of marks of the wheel, by their words. */
const KINDS = { hub: "picture.hub", whirl: "picture.whirl", rim: "picture.rim", band: "picture.band" };

/** A mark of the wheel by its id, such as rim0: {name, kind}; null if it is none of the wheel's. */
export function markOf(id, w) {
  const [, kind, number] = /^([a-z]+)(\d*)$/.exec(id) ?? [];
  return kind in KINDS ? { name: w(KINDS[kind], { number: Number(number) + 1 }), kind } : null;
}

/** Where marks belong by what was found: {id: {name, kind, at}}. */
export function marksOf(found, w) {
  const marks = {};
  const put = (id, at) => {
    if (at) marks[id] = { ...markOf(id, w), at };
  };
  put("hub", found.hub);
  put("whirl", found.whirls[0]?.centre);
  if (found.rim) [0.1, 0.43, 0.77].forEach((share, k) => put(`rim${k}`, along(found.rim, share)));
  // A double drive shows two cords a run, those of one loop first; one mark is enough for both.
  found.runs.slice(0, 2).forEach(([one, other], k) => put(`band${k}`, halfway(one, other)));
  return marks;
}

function halfway(one, other) {
  return [0, 1].map((k) => (one[k] + other[k]) / 2);
}

/** The middle of the circle through three points; null if they lie in a line. */
export function middleOf([[ax, ay], [bx, by], [cx, cy]]) {
  const d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by));
  if (Math.abs(d) < 1e-6) return null;
  const a = ax * ax + ay * ay;
  const b = bx * bx + by * by;
  const c = cx * cx + cy * cy;
  return [(a * (by - cy) + b * (cy - ay) + c * (ay - by)) / d, (a * (cx - bx) + b * (ax - cx) + c * (bx - ax)) / d];
}
