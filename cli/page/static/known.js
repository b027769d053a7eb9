// What the person knows, as the form has it: read as the commands read their options, with the unit put in.

import { onUnits, units } from "./units.js";
import { w } from "./words.js";

const form = document.getElementById("known");

function unit() {
  return units() === "imperial" ? "in" : "mm";
}

/** Fields with a length, which counts in the unit beside it unless the person typed one. */
const LENGTHS = ["offset", "band", "groove", "marker_size", "coin_size", "points_size"];
const MM_AN_INCH = 25.4;
/** In what unit bare numbers in the fields are meant. */
let meant = unit();

function showUnits() {
  for (const place of form.querySelectorAll(".unit")) place.textContent = w(`page.${units()}`);
  for (const name of LENGTHS) form.elements[name].value = inUnit(text(name), meant);
  meant = unit();
}

function text(name) {
  return form.elements[name].value.trim();
}

function hasUnit(typed) {
  return /[a-z]\s*$/i.test(typed);
}

/** A length whose bare numbers are meant in the unit `from`, as bare numbers of the unit that is shown. */
function inUnit(typed, from) {
  if (from === unit() || hasUnit(plainly(typed))) return typed;
  const times = from === "mm" ? 1 / MM_AN_INCH : MM_AN_INCH;
  return plainly(typed).replace(/\d*\.?\d+/g, (number) => String(Number((number * times).toPrecision(5))));
}

/** What was typed, with a decimal point where a comma was typed, and inches in letters. */
function plainly(typed) {
  return typed.replace(/(\d),(?=\d{1,2}(?!\d))/g, "$1.").replace(/\s*["″]$/, "in");
}

/** A length with its unit, unless the person typed one. */
function length(name) {
  const typed = plainly(text(name));
  return !typed || hasUnit(typed) ? typed : typed + unit();
}

/** A length that was given, without its unit if it is the one that is shown or can be put into it. */
function bare(given = "") {
  const [, number, told] = /^(.*\d)\s*(mm|in)$/.exec(given) ?? [];
  return told ? inUnit(number, told) : given;
}

export function referenceKind() {
  return form.elements.reference.value;
}

function showSizes() {
  for (const each of form.querySelectorAll("[data-for]")) each.hidden = each.dataset.for !== referenceKind();
}

function place([x, y]) {
  return `${x.toFixed(1)},${y.toFixed(1)}`;
}

/** Marks at the corners of a card or sheet, and what has such corners. */
export const CORNERS = ["corner0", "corner1", "corner2", "corner3"];
const WITH_CORNERS = ["card", "a4", "a5", "letter"];

/** Marks on the rim, and on the straight runs of the band. */
export const RIM = ["rim0", "rim1", "rim2"];
const GROUPS = { rim: RIM, band_at: ["band0", "band1"] };

export function hasCorners() {
  return WITH_CORNERS.includes(referenceKind());
}

/** The reference as the command takes it; null while something that it needs is not said yet. */
export function reference(marks) {
  const kind = referenceKind();
  if (kind === "marker") return length("marker_size") ? [`marker=${length("marker_size")}`] : null;
  if (kind === "coin") {
    const coin = text("coin") || length("coin_size");
    return coin ? [`coin=${coin}${marks.coin ? `,at=${place(marks.coin)}` : ""}`] : null;
  }
  if (kind === "points") {
    const far = length("points_size");
    return far && marks.point0 && marks.point1 ? [`points=${place(marks.point0)},${place(marks.point1)},${far}`] : null;
  }
  if (hasCorners() && CORNERS.every((each) => marks[each])) return [`${kind},at=${CORNERS.map((each) => place(marks[each]))}`];
  return [kind];
}

/** What is still to be told before anything can be measured, as a sentence; empty if nothing is. */
export function lacking(marks) {
  if (reference(marks) !== null) return "";
  return referenceKind() === "points" && length("points_size") ? w("picture.points_first") : w("picture.size_first");
}

/** Everything that is known, as the task takes it. */
export function given(marks) {
  const told = { reference: reference(marks), offset: length("offset"), band: length("band"), groove: length("groove") };
  if (marks.hub) told.hub = place(marks.hub);
  if (marks.whirl) told.whirl = place(marks.whirl);
  for (const [name, group] of Object.entries(GROUPS)) {
    const put = group.filter((each) => marks[each]);
    if (!put.length) continue;
    told[name] = put.map((each) => place(marks[each]));
    told.put = { ...told.put, [name]: put };
  }
  return told;
}

/** Where the person had pointed, by what was given for a reading. */
export function pointedIn(told) {
  const at = (text) => text.split(",").map(Number);
  const points = {};
  for (const name of ["hub", "whirl"]) if (told[name]) points[name] = at(told[name]);
  for (const [name, group] of Object.entries(GROUPS)) {
    // Which of the marks it was: the second alone does not come back as the first.
    const put = told.put?.[name] ?? group;
    (told[name] ?? []).forEach((each, k) => (points[put[k]] = at(each)));
  }
  const [whole = ""] = told.reference ?? [];
  if (whole.startsWith("points=")) {
    const [x0, y0, x1, y1] = at(whole.slice("points=".length));
    Object.assign(points, { point0: [x0, y0], point1: [x1, y1] });
  }
  if (whole.includes(",at=")) {
    const places = at(whole.split(",at=")[1]);
    if (whole.startsWith("coin")) points.coin = places;
    else CORNERS.forEach((each, k) => (points[each] = places.slice(2 * k, 2 * k + 2)));
  }
  return points;
}

/** Put what was given for a reading back into the form. */
export function showGiven(told) {
  const [whole = "card"] = told.reference ?? [];
  const [kind] = whole.split(/[=,]/);
  const size = whole.slice(kind.length + 1);
  form.elements.reference.value = kind;
  form.elements.offset.value = bare(told.offset);
  form.elements.band.value = bare(told.band);
  form.elements.groove.value = bare(told.groove);
  if (kind === "marker") form.elements.marker_size.value = bare(size);
  if (kind === "points") form.elements.points_size.value = bare(size.split(",").at(-1));
  if (kind === "coin") {
    const coin = size.split(",")[0];
    const known = [...form.elements.coin.options].some((option) => option.text === coin);
    form.elements.coin.value = known ? coin : "";
    form.elements.coin_size.value = known ? "" : bare(coin);
  }
  showSizes();
}

/** Say something beside the button that measures, where the person looks who has just told something. */
export function sayBeside(...what) {
  document.getElementById("known-said").replaceChildren(...what);
}

/** Call a function when something was changed and is whole; `asked` when the person asks to measure. */
export function onKnown(changed, asked) {
  form.addEventListener("change", (event) => {
    showSizes();
    changed(event.target.name);
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    asked();
  });
  onUnits(showUnits);
  showUnits();
  showSizes();
}
