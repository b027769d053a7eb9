// What was reckoned or is known of a wheel, as the program tells it: sentences, tables, drawings, points.

import { make } from "./dom.js";
import { beginJob, followJob, Trouble } from "./server.js";
import { w } from "./words.js";

/** From here on the letters of a drawing would be too small on a phone. */
const BROAD = 1.1;

/** A drawing of the program's own, made with all names escaped. One that is broad is moved under a phone's window. */
export function drawn(svg) {
  const figure = make("figure", { class: "drawn" });
  figure.innerHTML = svg;
  const { width, height } = figure.firstElementChild.viewBox.baseVal;
  if (width > BROAD * height) {
    figure.classList.add("broad");
    figure.style.setProperty("--wide", `${width}px`);
    figure.tabIndex = 0;
    figure.prepend(make("figcaption", { class: "why push" }, w("page.push")));
  }
  return figure;
}

function scrolled(name, content) {
  return make("div", { class: "scrolled", tabindex: "0", role: "region", "aria-label": name }, content);
}

/** A row of a table: the first cell heads it, and each other one knows its heading for where no column has room. */
export function rowOf(cells, headings, words = headings.map((_, k) => k)) {
  const dressed = (k) => ({ class: words.includes(k) ? null : "number" });
  // The name of a reading, such as photo-1, is not parted at its hyphen.
  const name = /^[a-z]+-\d+$/.test(cells[0]) ? { class: "whole" } : dressed(0);
  const head = make("th", { scope: "row", role: "rowheader", ...name }, cells[0]);
  const rest = cells.slice(1).map((each, k) => make("td", { role: "cell", "data-label": headings[k + 1], ...dressed(k + 1) }, each));
  return make("tr", { role: "row" }, head, ...rest);
}

/** Whether a table of so many columns, some of them of words, is wider than a phone. */
function isWide(headings, words) {
  return headings.length > 4 || words.some((each) => each > 0);
}

/**
 * A table with its own caption, or one for people who do not see which heading it stands below. On a phone a wide one
 * becomes a card for each row; the roles keep it a table for those who hear it.
 */
function tableOf({ caption, headings, rows, words }, otherwise) {
  const named = make("caption", { class: caption ? null : "unseen" }, caption || otherwise);
  const head = headings.map((each, k) => make("th", { scope: "col", role: "columnheader", class: words.includes(k) ? null : "number" }, each));
  const body = rows.map((row) => rowOf(row, headings, words));
  const table = make(
    "table",
    { role: "table", class: isWide(headings, words) ? "cards" : null },
    named,
    make("thead", { role: "rowgroup" }, make("tr", { role: "row" }, ...head)),
    make("tbody", { role: "rowgroup" }, ...body),
  );
  return scrolled(caption || otherwise, table);
}

function listed(list) {
  return list.length ? make("ul", { class: "points" }, ...list.map((each) => make("li", {}, each))) : null;
}

function points(list, title) {
  return list.length ? make("details", { class: "points" }, make("summary", {}, title), listed(list)) : null;
}

/** One section; `more` names what stands below it, to be opened; an `old` drawing stays until there is a new one. */
export function sectionOf({ heading, sentences, tables = [], texts = [], drawing = "", points: below }, more, old = null) {
  const name = (k) => (k ? `${heading || sentences[0]} ${k + 1}` : heading || sentences[0]);
  const told = [
    ...sentences.map((each) => make("p", {}, each)),
    ...tables.map((each, k) => tableOf(each, name(k))),
    ...texts.map((each, k) => scrolled(name(tables.length + k), make("pre", {}, each))),
    // What stands alone needs no opening.
    sentences.length || tables.length || texts.length ? points(below, more) : listed(below),
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
