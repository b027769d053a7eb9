// What was measured is kept with a wheel that is chosen, or with a new one.

import { askFor } from "./contents.js";
import { make } from "./dom.js";
import { ask, Trouble } from "./server.js";
import { w } from "./words.js";

const place = document.getElementById("to-wheel");
const form = place.querySelector("form");
const said = place.querySelector(".said");
const { wheel: which, name, label, head } = form.elements;
let measured = null;
let asked = 0;

/** Show the wheels that are kept, with one of them chosen. */
async function list(chosen = () => which.value) {
  const turn = ++asked;
  const wheels = await ask("/wheels/names");
  // A list that was overtaken lacks the wheel that was begun meanwhile.
  if (turn !== asked) return;
  const choices = wheels.map((each) => make("option", { value: each.id }, each.name));
  const id = chosen();
  which.replaceChildren(make("option", { value: "" }, w("towheel.new")), ...choices);
  which.value = wheels.some((each) => each.id === id) ? id : "";
  askName();
}

function askName() {
  form.querySelector(".new-name").hidden = Boolean(which.value);
  name.required = !which.value;
}

async function chosen() {
  if (which.value) return { id: which.value, name: which.selectedOptions[0].textContent };
  return ask("/wheels", { method: "POST", body: { name: name.value } });
}

async function keep() {
  // What was shown when the button was pressed, whatever is measured meanwhile.
  const { number } = measured;
  const wheel = await chosen();
  // Should the rest fail, the same press does not begin a second wheel.
  await list(() => wheel.id);
  const named = { label: label?.value.trim() ?? "", head: head?.value.trim() ?? "" };
  const order = { of: place.dataset.of, number, ...named, wheels: [wheel.id] };
  const { replaced } = await askFor("wheel-add", order, { measured: place.dataset.id });
  const words = w(replaced ? "towheel.again" : "towheel.kept", { name: wheel.name });
  said.replaceChildren(`${words} `, make("a", { href: `/wheels/${wheel.id}` }, w("towheel.open", { name: wheel.name })));
}

document.addEventListener("measured", (event) => {
  if (event.detail.number === undefined) return;
  const first = measured === null;
  measured = event.detail;
  place.hidden = !measured.kept;
  if (first) list().catch(() => {});
});
which.addEventListener("change", askName);
form.addEventListener("submit", async (event) => {
  event.preventDefault();
  const button = form.querySelector("button");
  button.disabled = true;
  try {
    await keep();
  } catch (problem) {
    if (!(problem instanceof Trouble)) throw problem;
    said.textContent = problem.message;
  } finally {
    button.disabled = false;
  }
});
