// Pictures and clips that are kept: delete with undo.

import { deleteWithUndo } from "./shelf.js";
import { w } from "./words.js";

const said = document.getElementById("said");

for (const item of document.querySelectorAll(".shelf > li")) {
  const { id, name } = item.dataset;
  const image = item.querySelector("img");
  const missing = () => image.classList.add("missing");
  image?.addEventListener("error", missing);
  // It may have failed before this script was there.
  if (image?.complete && !image.naturalWidth) missing();
  const button = item.querySelector(".delete");
  const words = (what) => w(`kept.${what}`, { name });
  button.addEventListener("click", () => deleteWithUndo(`/media/${id}`, said, words, (gone) => (item.hidden = gone), button));
}
