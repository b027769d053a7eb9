// One wheel: all that is known of it, what that rests on, what can be taken back, and what it is handed on as.

import { askFor, rowOf, sectionOf, trouble } from "./contents.js";
import { make } from "./dom.js";
import { beginJob } from "./server.js";
import { deleteWithUndo } from "./shelf.js";
import { onUnits, units } from "./units.js";
import { w } from "./words.js";
import { OVERTAKEN, work } from "./working.js";

const element = (id) => document.getElementById(id);
const { id, name } = element("wheel").dataset;
const said = element("said");
const wheels = [id];
let now = null;
let asked = 0;
let deleted = false;
let changing = false;

// Showing.

// Shows the wheel as it is kept now; tells whether nothing went wrong.
async function show() {
  if (deleted) return true;
  const turn = ++asked;
  let latest;
  const begin = () => beginJob("wheel", {}, { wheels, units: units() });
  // What is there stays until the new is there, so that nothing jumps.
  try {
    latest = now ? await askFor("wheel", { wheels, units: units() }) : await work(element("working"), begin);
  } catch (problem) {
    if (!deleted) said.replaceChildren(trouble(problem));
    return false;
  }
  // An answer that was overtaken by a later question may be out of date.
  if (!latest || latest === OVERTAKEN || turn !== asked) return true;
  // What has not changed stays as it is, under the finger that is about to press it.
  if (JSON.stringify(latest) === JSON.stringify(now)) return true;
  now = latest;
  const known = now.entries.length > 0;
  element("empty").hidden = known;
  element("hand-on").hidden = element("entries").hidden = !known;
  element("says").replaceChildren(...now.says.map((each) => make("p", {}, each)));
  element("quarrels").replaceChildren(...quarrels());
  element("contents").replaceChildren(...now.sections.map((each) => sectionOf(each, w("reckon.more"))));
  element("entries").querySelector("tbody").replaceChildren(...now.entries.map(entry));
  steps();
  return true;
}

function quarrels() {
  if (!now.quarrels.length) return [];
  return [make("section", { class: "trouble" }, make("h2", {}, w("thewheel.quarrels")), ...now.quarrels.map((each) => make("p", {}, each)))];
}

function entry({ id: reading, title, taken }) {
  const out = make("button", { type: "button", class: "quiet", "aria-label": w("thewheel.withdraw_name", { name: reading }) }, w("thewheel.withdraw"));
  out.addEventListener("click", () => change("wheel-withdraw", { entry: reading }, w("thewheel.withdrawn", { name: reading })));
  return rowOf([reading, title, taken, out], ["entry", "from", "taken", "withdraw"].map((each) => w(`thewheel.${each}`)));
}

function steps() {
  const undoes = now.steps.find((each) => each.number === now.undo)?.did;
  for (const [button, what, words] of [["undo", undoes, "thewheel.undo"], ["restore", now.taken_back, "thewheel.restore"]]) {
    element(button).hidden = !what;
    if (what) element(button).textContent = w(words, { what });
  }
  element("history").hidden = !now.steps.length;
  const lines = now.steps.map((each) => make("li", {}, `${byTheClock(each.when)} ${each.did}`));
  element("history").querySelector("ol").replaceChildren(...lines);
}

/** A moment as the clock on the wall had it; in files it stands in world time. */
function byTheClock(when) {
  const at = new Date(when);
  const two = (number) => String(number).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

// Changing.

async function change(kind, order, words) {
  // Who taps twice means it once.
  if (changing) return;
  changing = true;
  try {
    await askFor(kind, { ...order, wheels });
    if (await show()) said.textContent = words;
  } catch (problem) {
    said.replaceChildren(trouble(problem));
    await show();
  } finally {
    changing = false;
  }
  // What was pressed may be gone.
  if (document.activeElement === document.body) [element("undo"), element("restore")].find((each) => !each.hidden)?.focus();
}

element("undo").addEventListener("click", () => change("wheel-undo", { step: now.undo }, w("thewheel.undone")));
element("restore").addEventListener("click", () => change("wheel-restore", { step: now.restore }, w("thewheel.brought_back")));
element("delete").addEventListener("click", () => {
  const words = (what) => w(`wheels.${what}`, { name });
  const gone = (is) => {
    deleted = is;
    for (const each of element("wheel").children) if (each !== said && each.tagName !== "H1") each.classList.toggle("gone", is);
  };
  deleteWithUndo(`/wheels/${id}`, said, words, gone, element("delete"));
});

// Handing on.

function length(form) {
  const text = form.elements.drafting.value.trim();
  return text && !/[a-z]\s*$/i.test(text) ? `${text}${units() === "imperial" ? "in" : "cm"}` : text;
}

element("report").addEventListener("submit", async (event) => {
  event.preventDefault();
  const form = event.target;
  const given = { cadence: form.elements.cadence.value.trim(), wish: form.elements.wish.value.trim(), drafting: length(form) };
  // The report of before does not stand there as if it were the new one.
  element("report-said").replaceChildren();
  const outcome = await work(element("report-working"), () => beginJob("wheel-report", {}, { wheels, given, units: units() }));
  if (!outcome || outcome === OVERTAKEN) return;
  const open = make("a", { class: "button", href: `/wheels/${id}/report`, target: "_blank" }, w("thewheel.report_open"));
  element("report-said").replaceChildren(make("p", {}, open), ...outcome.hints.map((each) => make("p", { class: "why" }, each)));
  open.focus();
});

async function save(as) {
  try {
    const { type, content } = await askFor("wheel-export", { as, wheels });
    const bytes = Uint8Array.from(atob(content), (each) => each.charCodeAt(0));
    const address = URL.createObjectURL(new Blob([bytes], { type }));
    make("a", { href: address, download: `${name.replace(/[^\p{L}\p{N} _-]/gu, "") || "wheel"}.${as}` }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
  } catch (problem) {
    said.replaceChildren(trouble(problem));
  }
}
for (const as of ["csv", "json"]) element(as).addEventListener("click", () => save(as));

function perMinute() {
  document.querySelector(".per-minute").textContent = w(units() === "imperial" ? "reckon.in" : "reckon.cm");
}
onUnits(() => {
  perMinute();
  show();
});
// Whoever comes back from another tab sees what was done there.
document.addEventListener("visibilitychange", () => !document.hidden && now && show());
perMinute();
show();
