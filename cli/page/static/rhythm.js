// One's own treadling: the clip, the cadence below it in step, the time of each turn, and what that means.

import { showAnswer } from "./answer.js";
import { Chart, ticks } from "./chart.js";
import { draw, make } from "./dom.js";
import { beginJob, lookAtJob } from "./server.js";
import { at } from "./turning.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";
import { work } from "./working.js";

const element = (id) => document.getElementById(id);
const { id, job: running } = element("measuring").dataset;
const readings = JSON.parse(element("readings").textContent);
const form = element("known");
const video = make("video", { controls: true, playsinline: true, loop: true, preload: "metadata", "aria-label": w("rhythm.stage") });
video.muted = true;
let cadence = null;
const latest = () => readings.at(-1);

function load() {
  if (latest()) video.poster = `/media/${id}/preview`;
  video.src = `/media/${id}/playable`;
}

async function measure(job = "") {
  const given = { wished: form.elements.wished.value.trim(), captured_at: form.elements.captured_at.value.trim() };
  const media = { clip: id };
  if (form.elements.earlier.value) media.earlier = form.elements.earlier.value;
  const begin = () => (job ? lookAtJob(job) : beginJob("rhythm", media, { given }));
  const usually = latest()?.seconds ?? Number(localStorage.getItem("rhythm-seconds") ?? 12);
  const outcome = await work(element("working"), begin, { usually });
  if (!outcome) return;
  const first = !latest();
  readings.push(outcome);
  localStorage.setItem("rhythm-seconds", String(outcome.seconds));
  if (first) load();
  show();
}

function show() {
  showAnswer(element("answer"), latest(), null, () => null);
  showCadence(latest());
  showTurns(latest().turns_s);
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
    caption: `${w("rhythm.cadence")} · ${line} · ${w("rhythm.axis")} →`,
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
  const course = latest()?.course;
  if (!course) return;
  const moment = stored / course.stored_per_real;
  cadence?.cursorAt(moment, at(course.cadence.map(([t]) => t), course.cadence.map(([, per]) => per), moment));
}

/** Follow the pictures as they are shown, and not the clock. */
function follow(_now, picture) {
  step(picture.mediaTime);
  video.requestVideoFrameCallback(follow);
}
if (video.requestVideoFrameCallback) video.requestVideoFrameCallback(follow);
for (const event of ["timeupdate", "seeked"]) video.addEventListener(event, () => step(video.currentTime));

element("film").append(video);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  measure();
});
onUnits(() => latest() && show());
load();
if (latest()) {
  form.elements.wished.value = latest().given.wished ?? "";
  form.elements.captured_at.value = latest().given.captured_at ?? "";
  show();
}
if (running || !latest()) measure(running);
