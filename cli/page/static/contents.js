// What was reckoned or is known of a wheel, as the program tells it: sentences, tables, drawings, points.

import { make } from "./dom.js";
import { beginJob, followJob, Trouble } from "./server.js";

/** A drawing of the program's own, made with all names escaped. */
export function drawn(svg) {
  const figure = make("figure", { class: "drawn" });
  figure.innerHTML = svg;
  return figure;
}

function scrolled(name, content) {
  return make("div", { class: "scrolled", tabindex: "0", role: "region", "aria-label": name }, content);
}

function cell(text, column, words) {
  return make(column ? "td" : "th", { class: words.includes(column) ? null : "number", scope: column ? null : "row" }, text);
}

/** A table with its own caption, or one for people who do not see which heading it stands below. */
function tableOf({ caption, headings, rows, words }, otherwise) {
  const named = make("caption", { class: caption ? null : "unseen" }, caption || otherwise);
  const head = headings.map((each, k) => make("th", { scope: "col", class: words.includes(k) ? null : "number" }, each));
  const body = rows.map((row) => make("tr", {}, ...row.map((text, k) => cell(text, k, words))));
  return scrolled(caption || otherwise, make("table", {}, named, make("thead", {}, make("tr", {}, ...head)), make("tbody", {}, ...body)));
}

function points(list, title, open) {
  if (!list.length) return null;
  const items = make("ul", {}, ...list.map((each) => make("li", {}, each)));
  return make("details", { class: "points", open }, make("summary", {}, title), items);
}

/** One section; `more` names what stands below it, to be opened; an `old` drawing stays until there is a new one. */
export function sectionOf({ heading, sentences, tables = [], texts = [], drawing = "", points: below }, more, old = null) {
  const name = (k) => (k ? `${heading || sentences[0]} ${k + 1}` : heading || sentences[0]);
  const told = [
    ...sentences.map((each) => make("p", {}, each)),
    ...tables.map((each, k) => tableOf(each, name(k))),
    ...texts.map((each, k) => scrolled(name(tables.length + k), make("pre", {}, each))),
    // What stands alone needs no opening.
    points(below, more, !sentences.length && !tables.length && !texts.length),
  ].filter(Boolean);
  const figure = drawing ? drawn(drawing) : old;
  const body = figure ? [make("div", { class: "with-drawing" }, figure, make("div", {}, ...told))] : told;
  return make("section", {}, heading ? make("h2", {}, heading) : null, ...body);
}

/** Ask for something that takes a moment only. Gives its outcome; trouble is thrown. */
export async function askFor(kind, order, media = {}) {
  const end = await followJob(await beginJob(kind, media, order));
  if (end.state !== "done") throw new Trouble(end.sentence);
  return end.outcome;
}

/** What to show in place of an answer. */
export function trouble(problem) {
  if (!(problem instanceof Trouble)) throw problem;
  return make("p", { class: "trouble", role: "alert" }, problem.message);
}
