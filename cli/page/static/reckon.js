// Everything is reckoned anew whenever a slider or field changes; the program reckons, not this script.

import { askFor, sectionOf, trouble } from "./contents.js";
import { make } from "./dom.js";
import { onUnits, units } from "./units.js";
import { w } from "./words.js";

const form = document.getElementById("given");
const place = document.getElementById("contents");
const WAIT_MS = 180;
let shownIn = units();
const opened = new Set();
let timer = 0;
let busy = false;
let again = false;
let changes = 0;

function given() {
  const told = Object.fromEntries(new FormData(form));
  delete told.wheel;
  return told;
}

function order() {
  const wheel = form.elements.wheel?.value;
  return { given: given(), units: shownIn, wheels: wheel ? [wheel] : [] };
}

function show(outcome) {
  document.getElementById("brief").replaceChildren(...outcome.brief.map((each) => make("p", {}, each)));
  for (const each of place.querySelectorAll("details[open]")) opened.add(each.closest("section").dataset.part);
  place.replaceChildren(
    ...outcome.sections.map((each, k) => {
      const old = place.querySelector(`section[data-part="${k}"] .drawn`);
      const section = sectionOf(each, w("reckon.more"), old);
      section.dataset.part = k;
      const more = section.querySelector("details");
      if (more) {
        more.open = opened.has(String(k));
        more.addEventListener("toggle", () => (more.open ? opened.add(String(k)) : opened.delete(String(k))));
      }
      return section;
    }),
  );
}

/** Reckon: first what is told in words and numbers, then, unless something has changed again, what is drawn. */
async function reckon() {
  // One at a time: what changes meanwhile is reckoned right after it.
  again = busy;
  if (busy) return;
  busy = true;
  const beneath = document.getElementById("trouble");
  try {
    const asked = order();
    show(await askFor("reckon", { ...asked, drawn: false }));
    beneath.replaceChildren();
    document.getElementById("said").textContent = w("reckon.done");
    if (!again) show(await askFor("reckon", asked));
  } catch (problem) {
    beneath.replaceChildren(trouble(problem));
  } finally {
    busy = false;
    place.dataset.reckoned = String(Number(place.dataset.reckoned ?? 0) + 1);
  }
  if (again) reckon();
}

function soon() {
  clearTimeout(timer);
  timer = setTimeout(reckon, WAIT_MS);
}

// A slider beside each field, and the units of both.

function slider(name) {
  return form.querySelector(`input[data-of="${name}"]`);
}

function layOut() {
  for (const moved of form.querySelectorAll(".moved")) {
    const range = moved.querySelector('input[type="range"]');
    const field = moved.querySelector('input[type="text"]');
    [range.min, range.max, range.step] = moved.dataset[shownIn].split(" ");
    range.value = parseFloat(field.value);
    const unit = moved.querySelector(".unit");
    unit.textContent = unit.dataset[shownIn];
  }
}

form.addEventListener("input", (event) => {
  const { name, dataset, value } = event.target;
  // Some browsers leave the focus elsewhere when a finger moves a slider; by it the answer comes to the finger.
  if (dataset.of) event.target.focus({ preventScroll: true });
  if (dataset.of) form.elements.namedItem(dataset.of).value = value;
  else if (slider(name) && parseFloat(value)) slider(name).value = parseFloat(value);
  typed();
  soon();
});
form.addEventListener("submit", (event) => {
  event.preventDefault();
  reckon();
});

/** Ratios are typed only where no wheel tells them. */
function typed() {
  for (const each of form.querySelectorAll(".typed")) each.hidden = Boolean(form.elements.wheel?.value);
}

/** What stands in the fields now, in the other units; where it cannot be meant, it stays as it is. */
async function inOtherUnits(now) {
  try {
    return (await askFor("reckon", { ...order(), drawn: false })).fields[now];
  } catch {
    return {};
  }
}

onUnits(async (now) => {
  const turn = ++changes;
  let seen;
  let fields = {};
  // What is typed while the program thinks is meant in the units that still stand there.
  while (turn === changes && now !== shownIn && seen !== JSON.stringify(given())) {
    seen = JSON.stringify(given());
    fields = await inOtherUnits(now);
  }
  // Of two choices in quick succession the later one counts.
  if (turn !== changes) return;
  for (const [name, value] of Object.entries(fields)) form.elements.namedItem(name).value = value;
  shownIn = now;
  layOut();
  reckon();
});
typed();
layOut();
reckon();
