// Delete with undo.

import { make } from "./dom.js";
import { ask } from "./server.js";
import { w } from "./words.js";

const said = document.getElementById("said");

async function change(item, what) {
  try {
    await ask(`/media/${item.dataset.id}/${what}`, { method: "POST" });
    item.hidden = what === "delete";
    return true;
  } catch {
    said.textContent = w("kept.failed");
    return false;
  }
}

for (const item of document.querySelectorAll(".shelf > li")) {
  const name = item.dataset.name;
  const image = item.querySelector("img");
  image?.addEventListener("error", () => image.classList.add("missing"));
  item.querySelector(".delete").addEventListener("click", async () => {
    if (!(await change(item, "delete"))) return;
    const undo = make("button", { type: "button", class: "quiet" }, w("kept.undo"));
    undo.addEventListener("click", async () => {
      if (!(await change(item, "restore"))) return;
      said.textContent = w("kept.restored", { name });
      item.querySelector(".delete").focus();
    });
    said.replaceChildren(`${w("kept.deleted", { name })} `, undo);
    undo.focus();
  });
}
