// A job at work: a bobbin that fills, what is done now, and a button that stops it.

import { draw, make } from "./dom.js";
import { Trouble, Wanted } from "./server.js";
import { w, wordsOr } from "./words.js";

const WINDS = 12;
const TICK_MS = 500;

function bobbin() {
  const winds = Array.from({ length: WINDS }, (_, k) =>
    draw("ellipse", { class: "wind", cx: 22 + (k * 56) / (WINDS - 1), cy: 30, rx: 4.2, ry: 17 }),
  );
  const drawing = draw(
    "svg",
    { viewBox: "0 0 100 60", class: "bobbin", "aria-hidden": "true" },
    draw("rect", { class: "wood", x: 4, y: 26, width: 92, height: 8, rx: 3 }),
    draw("rect", { class: "wood", x: 10, y: 6, width: 7, height: 48, rx: 3 }),
    draw("rect", { class: "wood", x: 83, y: 6, width: 7, height: 48, rx: 3 }),
    draw("g", {}, ...winds),
  );
  return { drawing, fill: (share) => winds.forEach((wind, k) => wind.classList.toggle("on", k < share * WINDS)) };
}

function saying(job) {
  if (job.state === "waiting") {
    return job.ahead ? `${w("job.waiting")}: ${w("job.ahead", { count: job.ahead })}` : w("job.waiting");
  }
  if (job.what === "begin" || !job.what) return w("job.begin");
  return wordsOr(`progress.${job.what}`, job.what);
}

/** What `work` gives where something newer was begun in the same place meanwhile. */
export const OVERTAKEN = Symbol("overtaken");

/** What is at work in each place. */
const atWork = new WeakMap();

/** Whether something is at work in a place that nobody has stopped. */
export function goesOn(place) {
  return atWork.get(place)?.stopped === false;
}

function shownAtWork(place, stop) {
  const { drawing, fill } = bobbin();
  const what = make("p", { class: "what", role: "status" }, w("job.begin"));
  const time = make("p", { class: "time" });
  const button = make("button", { type: "button", class: "quiet", click: stop }, w("job.stop"));
  place.replaceChildren(make("div", { class: "busy" }, drawing, make("div", {}, what, time, button)));
  place.setAttribute("aria-busy", "true");
  return { fill, what, time };
}

/** Count the seconds, and fill the bobbin by what the work tells; where it tells nothing, by the time. */
function clockOf({ fill, time }, usually, share) {
  const began = performance.now();
  return setInterval(() => {
    const seconds = (performance.now() - began) / 1000;
    const more = usually >= 3 ? ` (${w("job.usual", { count: Math.round(usually) })})` : "";
    const words = `${w("job.seconds", { count: Math.floor(seconds) })}${more}`;
    // What stays as it is, is not drawn anew: the computer has better things to do meanwhile.
    if (time.textContent !== words) time.textContent = words;
    // Time never says that all is done.
    fill(Math.max(share(), usually ? 0.95 * (1 - Math.exp(-1.6 * (seconds / usually))) : 0));
  }, TICK_MS);
}

/**
 * Show a job in a place until it ends. Gives its outcome, or null if it was stopped; trouble is shown and gives null,
 * too. Something newer in the same place stops it and takes the place over: then it gives OVERTAKEN and shows nothing.
 */
export async function work(place, begin, { usually = 0, told = () => {} } = {}) {
  const wanted = new Wanted();
  atWork.get(place)?.stop();
  atWork.set(place, wanted);
  const overtaken = () => atWork.get(place) !== wanted;
  const shown = shownAtWork(place, () => wanted.stop());
  let share = 0;
  const clock = clockOf(shown, usually, () => share);
  try {
    const end = await wanted.follow(begin, (now) => {
      if (overtaken()) return;
      const words = saying(now);
      if (shown.what.textContent !== words) shown.what.textContent = words;
      share = now.share;
      told(now);
    });
    if (overtaken()) return OVERTAKEN;
    place.replaceChildren(...ending(end));
    return end.state === "done" ? end.outcome : null;
  } catch (trouble) {
    if (!(trouble instanceof Trouble)) throw trouble;
    if (overtaken()) return OVERTAKEN;
    place.replaceChildren(alert("trouble", trouble.message));
    return null;
  } finally {
    clearInterval(clock);
    if (!overtaken()) {
      place.removeAttribute("aria-busy");
      atWork.delete(place);
    }
  }
}

function alert(kind, words) {
  return make("p", { class: kind, role: "alert" }, words);
}

function ending({ state, sentence }) {
  if (state === "done") return [];
  return [state === "stopped" ? alert("stopped", w("job.stopped")) : alert("trouble", sentence)];
}
