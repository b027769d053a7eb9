// Delete with undo, for anything that is kept under an address of its own.

import { make } from "./dom.js";
import { ask } from "./server.js";

/**
 * Delete what has an address; `said` tells so and offers to bring it back. `words` gives the words of deleted, undo,
 * restored and failed; `gone` hears whether it is gone, and `back` gets the focus when it is there again.
 */
export async function deleteWithUndo(address, said, words, gone, back) {
  const change = async (what) => {
    try {
      await ask(`${address}/${what}`, { method: "POST" });
      gone(what === "delete");
      return true;
    } catch {
      said.textContent = words("failed");
      return false;
    }
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
