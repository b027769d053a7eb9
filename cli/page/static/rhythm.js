// One's own treadling: the clip, the cadence below it in step, the time of each turn, and what that means.

import { showAnswer } from "./answer.js";
import { Chart, ticks } from "./chart.js";
import { draw, make } from "./dom.js";
import { filmed, followed } from "./film.js";
import { Measured } from "./measured.js";
import { transport } from "./transport.js";
import { at } from "./turning.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";

const element = (id) => document.getElementById(id);
const form = element("known");
const video = make("video", { playsinline: true, loop: true, preload: "metadata", tabindex: "-1", "aria-label": w("rhythm.stage") });
video.muted = true;
const played = transport(video);
let cadence = null;
const measured = new Measured("rhythm", { usual: 12, order, show });
const film = filmed(video, measured, () => element("film").append(make("p", { class: "said", role: "status" }, w("watch.no_play"))));

function order() {
  const { wished, captured_at: capturedAt, earlier } = form.elements;
  const media = { clip: measured.id, ...(earlier.value ? { earlier: earlier.value } : {}) };
  return { media, given: { wished: wished.value.trim(), captured_at: capturedAt.value.trim() } };
}

function show() {
  film.load();
  played.ready();
  const [width, height] = measured.latest.size_px;
  element("film").parentElement.classList.toggle("upright", height > 1.4 * width);
  showAnswer(element("answer"), measured.latest, null, () => null);
  showCadence(measured.latest);
  showTurns(measured.latest.turns_s);
}

function level(value, width) {
  return (chart) => [draw("path", { class: "level", d: `M${chart.across(0)} ${chart.up(value)}H${chart.across(width)}` })];
}

/** The values' ends with some room, and another value within them. */
function ends(values, another = values[0]) {
  const [low, high] = [Math.min(...values, another), Math.max(...values, another)];
  const room = 0.15 * (high - low) || 1;
  return [Math.max(0, low - room), high + room];
}

function showCadence({ course, wished }) {
  element("cadence").hidden = !course;
  if (!course) return;
  const values = course.cadence.map(([, per]) => per);
  const last = course.times_s.at(-1);
  const shown = wished ?? course.mean.value;
  const y = ends(values, shown);
  const line = wished === null ? w("rhythm.mean_line", { mean: course.mean.text }) : w("rhythm.wish_line", { wished });
  cadence = new Chart(element("cadence"), {
    points: course.cadence,
    x: [0, last],
    y,
    xTicks: ticks(0, last, 6),
    yTicks: ticks(...y, 3),
    lastTick: (tick) => w("job.seconds", { count: tick }),
    caption: `${w("rhythm.cadence")} · ${line}`,
    told: w("rhythm.told", { low: Math.min(...values).toFixed(1), high: Math.max(...values).toFixed(1), mean: course.mean.text }),
    follows: true,
    marks: level(shown, last),
  });
}

function showTurns(turns) {
  element("turns").hidden = turns.length < 2;
  if (turns.length < 2) return;
  const y = ends(turns);
  new Chart(element("turns"), {
    points: turns.map((each, k) => [k + 1, each]),
    x: [1, turns.length],
    y,
    xTicks: ticks(1, turns.length, 6),
    yTicks: ticks(...y, 3),
    caption: `${w("rhythm.turns")}, ${w("rhythm.axis")} · ${w("rhythm.turn_axis")} →`,
    told: w("rhythm.turns_told", { count: turns.length, low: Math.min(...turns).toFixed(2), high: Math.max(...turns).toFixed(2) }),
    marks: (chart) => turns.map((each, k) => draw("circle", { class: "peak", cx: chart.across(k + 1), cy: chart.up(each), r: 3 })),
  });
}

function step(stored) {
  const course = measured.latest?.course;
  played.at(stored);
  if (!course) return;
  const moment = stored / course.stored_per_real;
  cadence?.cursorAt(moment, at(course.cadence.map(([t]) => t), course.cadence.map(([, per]) => per), moment));
}

followed(video, step);

element("film").append(video);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  measured.measure();
});
onUnits(() => measured.latest && show());
if (measured.latest) {
  form.elements.wished.value = measured.latest.given.wished ?? "";
  form.elements.captured_at.value = measured.latest.given.captured_at ?? "";
  const { earlier = "" } = measured.latest;
  if ([...form.elements.earlier.options].some((each) => each.value === earlier)) form.elements.earlier.value = earlier;
  show();
} else film.load();
measured.begin();
