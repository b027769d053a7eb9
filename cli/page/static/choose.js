// A file is chosen, dropped anywhere, or taken by the phone's camera; it is sent, and its screen opened.

import { sendFile } from "./server.js";
import { w } from "./words.js";

const chooser = document.querySelector(".chooser");
const sending = chooser.querySelector(".sending");
const inputs = chooser.querySelectorAll("input.file");
const PLACES = { picture: "/photo/", clip: "/clip/" };

function isHere(kind) {
  return kind === chooser.dataset.kind;
}

async function send(file) {
  // One at a time: what is chosen while another is on its way would open its screen over the other's.
  if (chooser.classList.contains("busy")) return;
  chooser.classList.add("busy");
  try {
    const told = (share) => {
      sending.textContent = `${w("uploads.sending", { name: file.name })}: ${Math.round(100 * share)}\u00a0%`;
    };
    told(0);
    const { id, kind } = await sendFile(file, told);
    if (isHere(kind)) location.assign((chooser.dataset.to || PLACES[kind]) + id);
    else sending.textContent = w(`uploads.wrong_place_${kind}`, { name: file.name });
  } catch (trouble) {
    sending.textContent = trouble.message;
  } finally {
    chooser.classList.remove("busy");
    // So that the same file can be chosen once more; not before it is sent, as a phone's camera may keep it no longer.
    for (const input of inputs) input.value = "";
  }
}

function sendChosen({ files }) {
  if (files.length) send(files[0]);
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
  if (event.dataTransfer.files.length) send(event.dataTransfer.files[0]);
});
