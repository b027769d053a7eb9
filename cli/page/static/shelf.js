// Delete with undo, for anything that is kept under an address of its own.

import { make } from "./dom.js";
import { ask } from "./server.js";

/** Addresses about which the program was told something and has not answered yet. */
const waiting = new Set();

/** Tell the program once, however often it is tapped. Gives whether it was done; null if it is under way already. */
async function tell(address, what) {
  if (waiting.has(address)) return null;
  waiting.add(address);
  try {
    await ask(`${address}/${what}`, { method: "POST" });
    return true;
  } catch {
    return false;
  } finally {
    waiting.delete(address);
  }
}

/** Bring back what was deleted earlier, by the buttons that say so; then the screen shows it among the others. */
export function bringingBack(said, failed) {
  for (const button of document.querySelectorAll(".deleted .restore")) {
    button.addEventListener("click", async () => {
      const done = await tell(button.dataset.address, "restore");
      if (done) location.reload();
      else if (done === false) said.textContent = failed;
    });
  }
}

/**
 * Delete what has an address; `said` tells so and offers to bring it back. `words` gives the words of deleted, undo,
 * restored and failed; `gone` hears whether it is gone, and `back` gets the focus when it is there again.
 */
export async function deleteWithUndo(address, said, words, gone, back) {
  const change = async (what) => {
    const done = await tell(address, what);
    if (done) gone(what === "delete");
    else if (done === false) said.textContent = words("failed");
    return done;
  };
  if (!(await change("delete"))) return;
  const undo = make("button", { type: "button", class: "quiet" }, words("undo"));
  undo.addEventListener("click", async () => {
    if (!(await change("restore"))) return;
    said.textContent = words("restored");
    back.focus();
  });
  said.replaceChildren(`${words("deleted")} `, undo);
  undo.focus();
}
