// Pictures and clips that are kept: delete with undo.

import { bringingBack, deleteWithUndo } from "./shelf.js";
import { w } from "./words.js";

const said = document.getElementById("said");

for (const item of document.querySelectorAll(".shelf > li")) {
  const { id, name } = item.dataset;
  const button = item.querySelector(".delete");
  const words = (what) => w(`kept.${what}`, { name });
  button.addEventListener("click", () => deleteWithUndo(`/media/${id}`, said, words, (gone) => (item.hidden = gone), button));
}
bringingBack(said, w("kept.failed"));
