// A job at work: a bobbin that fills, what is done now, and a button that stops it.

import { draw, make } from "./dom.js";
import { followJob, stopJob, Trouble } from "./server.js";
import { w, wordsOr } from "./words.js";

const WINDS = 12;

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

/** Show a job until it ends. Gives its outcome, or null if it was stopped; trouble is shown and gives null, too. */
export async function work(place, begin, { usually = 0, told = () => {} } = {}) {
  const { drawing, fill } = bobbin();
  const what = make("p", { class: "what", role: "status" }, w("job.begin"));
  const time = make("p", { class: "time" });
  const stop = make("button", { type: "button", class: "quiet" }, w("job.stop"));
  const busy = make("div", { class: "busy" }, drawing, make("div", {}, what, time, stop));
  place.replaceChildren(busy);
  place.setAttribute("aria-busy", "true");
  const began = performance.now();
  let share = 0;
  const clock = setInterval(() => {
    const seconds = (performance.now() - began) / 1000;
    const more = usually >= 3 ? ` (${w("job.usual", { count: Math.round(usually) })})` : "";
    time.textContent = `${w("job.seconds", { count: Math.floor(seconds) })}${more}`;
    // Where the work itself does not say how far it is, time does, and never says that all is done.
    fill(Math.max(share, usually ? 0.95 * (1 - Math.exp(-1.6 * (seconds / usually))) : 0));
  }, 250);
  try {
    const job = await begin();
    stop.addEventListener("click", () => stopJob(job).catch(() => {}));
    const end = await followJob(job, (now) => {
      const words = saying(now);
      if (what.textContent !== words) what.textContent = words;
      share = now.share;
      told(now);
    });
    place.replaceChildren();
    if (end.state === "done") return end.outcome;
    place.append(make("p", { class: end.state === "stopped" ? "stopped" : "trouble", role: "alert" }, end.state === "stopped" ? w("job.stopped") : end.sentence));
  } catch (trouble) {
    if (!(trouble instanceof Trouble)) throw trouble;
    place.replaceChildren(make("p", { class: "trouble", role: "alert" }, trouble.message));
  } finally {
    clearInterval(clock);
    place.removeAttribute("aria-busy");
  }
  return null;
}
