// An answer: its sentence, its numbers, why it can be trusted, what would do better; and two of them side by side.

import { make } from "./dom.js";
import { units } from "./units.js";
import { w } from "./words.js";

function list(title, sentences, open) {
  if (!sentences.length) return null;
  return make(
    "details",
    { class: "why-list", open },
    make("summary", {}, make("h2", {}, title)),
    make("ul", {}, ...sentences.map((each) => make("li", {}, each))),
  );
}

function number({ name, unit, interval }) {
  const value = interval ? `${interval.text}${unit ? ` ${unit}` : ""}` : w("answer.without");
  const between = interval ? w("answer.range", { low: interval.low_text, high: interval.high_text }) : "";
  return make("tr", {}, make("th", { scope: "row" }, name), make("td", {}, value), make("td", {}, between));
}

function numbers(rows) {
  if (!rows.length) return null;
  const head = [w("answer.name"), w("answer.value"), w("answer.between")].map((each) => make("th", { scope: "col" }, each));
  return make(
    "div",
    { class: "numbers", tabindex: "0", role: "group", "aria-label": w("answer.numbers") },
    make("table", {}, make("caption", {}, w("answer.numbers")), make("thead", {}, make("tr", {}, ...head)), make("tbody", {}, ...rows.map(number))),
  );
}

/** Draw where a number may lie: a strand with its middle, on a scale that two answers share. */
function strand(interval, [low, high], alone = false) {
  const place = (value) => `${(100 * (value - low)) / (high - low)}%`;
  const bar = make("span", { class: "bar" });
  bar.style.left = place(interval.low);
  bar.style.right = `${100 - parseFloat(place(interval.high))}%`;
  const dot = make("span", { class: "dot" });
  dot.style.left = place(interval.value);
  const text = w("answer.sure", { low: interval.low_text, high: interval.high_text });
  return make(
    "p",
    { class: "strand" },
    make("strong", {}, interval.text),
    make("span", { class: "yarn-scale", "aria-hidden": "true" }, bar, dot),
    // Alone, it stands below the sentence that says it.
    alone ? null : make("span", { class: "sure" }, text),
  );
}

function scaleOf(intervals) {
  const low = Math.min(...intervals.map((each) => each.low));
  const high = Math.max(...intervals.map((each) => each.high));
  const room = 0.15 * (high - low || 1);
  return [low - room, high + room];
}

function alike(one, other) {
  return ["text", "low_text", "high_text"].every((each) => one?.[each] === other?.[each]);
}

/** Numbers of two answers that are not alike: {name, unit, before, now}. */
function changes(before, now) {
  const earlier = Object.fromEntries(before.map((row) => [row.name, row]));
  return now
    .filter(({ name, interval }) => name in earlier && !alike(earlier[name].interval, interval))
    .map(({ name, unit, interval }) => ({ name, unit, before: earlier[name].interval, now: interval }));
}

function changed(rows) {
  if (!rows.length) return null;
  const told = (interval) => interval?.text ?? w("answer.without");
  const item = ({ name, unit, before, now }) =>
    make("li", {}, `${name}: ${w("answer.changed_from", { before: told(before), now: told(now), unit: unit ?? "" }).trim()}`);
  return make("details", { class: "changed" }, make("summary", {}, w("answer.changed")), make("ul", {}, ...rows.map(item)));
}

function inWords(then, now, others) {
  if (then.text !== now.text) return w("answer.compared", { before: then.text, now: now.text });
  if (!alike(then, now)) return w("answer.surer", { now: now.text });
  return w(others.length ? "answer.same_number" : "answer.same", { now: now.text });
}

function beside(then, now, others) {
  const scale = scaleOf([then, now]);
  return make(
    "div",
    { class: "beside" },
    make("div", {}, make("h2", {}, w("answer.before")), strand(then, scale)),
    make("div", {}, make("h2", {}, w("answer.now")), strand(now, scale)),
    make("p", {}, inWords(then, now, others)),
    ...[changed(others)].filter(Boolean),
  );
}

/** What was known before something was told with which nothing can be measured. */
function lost(then) {
  return make("div", { class: "beside" }, make("div", {}, make("h2", {}, w("answer.before")), strand(then, scaleOf([then]))), make("p", {}, w("answer.lost")));
}

function compared(then, now, rows) {
  if (then && now) return beside(then, now, changes(...rows));
  if (now) return strand(now, scaleOf([now]), true);
  return then ? lost(then) : null;
}

/** Show a reading, beside the one before it if there is one; `ratioOf` finds the number to compare. */
export function showAnswer(place, reading, before, ratioOf) {
  const told = reading.answer[units()];
  document.dispatchEvent(new CustomEvent("measured", { detail: reading }));
  const now = ratioOf(reading);
  const then = before ? ratioOf(before) : null;
  // What the screen says before there is an answer, the answer says too.
  document.getElementById("mind")?.setAttribute("hidden", "");
  place.replaceChildren(
    ...[
      make("div", { class: "says", role: "status" }, ...told.says.map((each) => make("p", {}, each))),
      compared(then, now, [before?.answer[units()].rows ?? [], told.rows]),
      numbers(told.rows),
      list(w(now || told.rows.length ? "answer.trust" : "answer.seen"), told.trust, false),
      list(w("answer.better"), told.better, !now),
      told.mind.length ? make("div", { class: "mind" }, ...told.mind.map((each) => make("p", {}, each))) : null,
      reading.seconds ? make("p", { class: "took" }, w("answer.took", { count: reading.seconds })) : null,
    ].filter(Boolean),
  );
}
