// A file is chosen, dropped anywhere, or taken by the phone's camera; it is sent, and its screen opened.

import { make } from "./dom.js";
import { ask, sendFile } from "./server.js";
import { w } from "./words.js";

const chooser = document.querySelector(".chooser");
const sending = chooser.querySelector(".sending");
const stop = make("button", { type: "button", class: "quiet", hidden: true }, w("job.stop"));
sending.after(stop);
const inputs = chooser.querySelectorAll("input.file");
const PLACES = { picture: "/photo/", clip: "/clip/" };

function isHere(kind) {
  return kind === chooser.dataset.kind;
}

/** What was sent is kept, so nobody need send it again where it belongs; what is measured nowhere is put aside. */
async function elsewhere(kind, id, name) {
  const told = w(`uploads.wrong_place_${kind}`, { name });
  if (PLACES[kind]) return [told, " ", make("a", { href: PLACES[kind] + id }, w("uploads.open_there"))];
  await ask(`/media/${id}/delete`, { method: "POST" });
  return [told, " ", w("uploads.put_aside")];
}

function busy(is) {
  chooser.classList.toggle("busy", is);
  for (const input of inputs) input.disabled = is;
  // What goes away under the focus hands it on.
  if (document.activeElement === stop) inputs[0].focus();
  stop.hidden = !is;
}

async function send(file) {
  // One at a time: what is chosen while another is on its way would open its screen over the other's.
  if (chooser.classList.contains("busy")) return;
  busy(true);
  const given = new AbortController();
  stop.onclick = () => given.abort();
  try {
    const told = (share) => {
      sending.textContent = `${w("uploads.sending", { name: file.name })}: ${Math.round(100 * share)}\u00a0%`;
    };
    told(0);
    const { id, kind } = await sendFile(file, told, given.signal);
    if (isHere(kind)) location.assign((chooser.dataset.to || PLACES[kind]) + id);
    else sending.replaceChildren(...(await elsewhere(kind, id, file.name)));
  } catch (trouble) {
    sending.textContent = trouble.message;
  } finally {
    busy(false);
    // So that the same file can be chosen once more; not before it is sent, as a phone's camera may keep it no longer.
    for (const input of inputs) input.value = "";
  }
}

function sendChosen({ files }) {
  if (files.length === 1) send(files[0]);
  else if (files.length) sending.textContent = w("uploads.several", { count: files.length });
}

for (const input of inputs) {
  input.addEventListener("change", () => sendChosen(input));
  // What was chosen before this script was there.
  sendChosen(input);
}
document.addEventListener("dragover", (event) => {
  event.preventDefault();
  chooser.classList.add("over");
});
document.addEventListener("dragleave", () => chooser.classList.remove("over"));
document.addEventListener("drop", (event) => {
  event.preventDefault();
  chooser.classList.remove("over");
  sendChosen(event.dataTransfer);
});
