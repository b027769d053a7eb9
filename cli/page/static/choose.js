// A file is chosen, dropped anywhere, or taken by the phone's camera; it is sent, and its screen opened.

import { sendFile } from "./server.js";
import { w } from "./words.js";

const chooser = document.querySelector(".chooser");
const sending = chooser.querySelector(".sending");
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
  }
}

for (const input of chooser.querySelectorAll("input.file")) {
  input.addEventListener("change", () => {
    if (input.files.length) send(input.files[0]);
  });
  // So that the same file can be chosen once more; not before it is sent, as a phone's camera may keep it no longer.
  input.addEventListener("click", () => (input.value = ""));
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
