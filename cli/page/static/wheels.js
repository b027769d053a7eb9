// The wheels that are kept: begin one, set some side by side, delete with undo.

import { sectionOf } from "./contents.js";
import { ask, beginJob, Trouble } from "./server.js";
import { bringingBack, deleteWithUndo } from "./shelf.js";
import { onUnits, units } from "./units.js";
import { w } from "./words.js";
import { OVERTAKEN, work } from "./working.js";

const element = (id) => document.getElementById(id);
const said = element("said");

let beginning = false;
element("begin").addEventListener("submit", async (event) => {
  event.preventDefault();
  // A second tap, before the new wheel's screen is there, begins no second wheel.
  if (beginning) return;
  beginning = true;
  try {
    const { id } = await ask("/wheels", { method: "POST", body: { name: event.target.elements.name.value } });
    location.assign(`/wheels/${id}`);
  } catch (problem) {
    beginning = false;
    if (!(problem instanceof Trouble)) throw problem;
    said.textContent = problem.message;
  }
});
// Whoever comes back to this screen may begin another.
addEventListener("pageshow", () => (beginning = false));

for (const item of document.querySelectorAll(".stable > li")) {
  const { id, name } = item.dataset;
  const words = (what) => w(`wheels.${what}`, { name });
  const button = item.querySelector(".delete");
  const gone = (is) => {
    item.hidden = is;
    const chosen = item.querySelector("input");
    if (is && chosen) chosen.checked = false;
  };
  button.addEventListener("click", () => deleteWithUndo(`/wheels/${id}`, said, words, gone, button));
}

bringingBack(said, w("wheels.failed"));

const compare = element("compare");

async function sideBySide() {
  const wheels = [...document.querySelectorAll('input[name="compared"]:checked')].map((each) => each.value);
  const given = Object.fromEntries(new FormData(compare.querySelector("form")));
  const outcome = await work(element("working"), () => beginJob("wheel-compare", {}, { wheels, given, units: units() }));
  if (outcome && outcome !== OVERTAKEN) element("contents").replaceChildren(sectionOf({ ...outcome, heading: "" }, w("reckon.more")));
}

compare.querySelector("form").addEventListener("submit", (event) => {
  event.preventDefault();
  sideBySide();
});
onUnits(() => element("contents").childElementCount && sideBySide());
