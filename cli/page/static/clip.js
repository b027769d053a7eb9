// One clip: it is counted, and plays with the wheel that was followed, a marker that turns with it, and the cadence.

import { showAnswer } from "./answer.js";
import { Chart, ticks } from "./chart.js";
import { calm, draw, make } from "./dom.js";
import { filmed, followed } from "./film.js";
import { Handles } from "./handles.js";
import { Loupe } from "./loupe.js";
import { Measured } from "./measured.js";
import { beginJob } from "./server.js";
import { Stage } from "./stage.js";
import { mending, tool, viewTools } from "./tools.js";
import { transport } from "./transport.js";
import { at, TurningLines } from "./turning.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";
import { OVERTAKEN, work } from "./working.js";

const NOTHING = { hub: null, wheel: null, flyer: null, flyer_at: null };
const RATIO_TICKS = [3, 4, 5, 6, 8, 10, 15, 20, 30, 40];
const element = (id) => document.getElementById(id);
const form = element("known");
const said = make("p", { class: "said", role: "status" });
const video = make("video", { playsinline: true, muted: true, loop: true, preload: "auto", tabindex: "-1", "aria-label": w("watch.stage") });
// The attribute alone does not silence an element that a script made, and only a silent one may start by itself.
video.muted = true;
const stage = new Stage(element("stage"), video);
const handles = new Handles(stage, new Loupe(stage), said, dropped);
const played = transport(video);
let pointed = {};
let lines = null;
let cadence = null;

const measured = new Measured("clip", {
  usual: 20,
  order: () => ({ media: { clip: measured.id }, given: given() }),
  show,
  told: (now) => now.what && now.what !== "begin" && now.what !== "looking at the picture" && film.poster(),
});
const film = filmed(video, measured, () => (said.textContent = w("watch.no_play")));

// What can be pointed at, and what is known.

function marks() {
  const found = measured.latest?.drawn ?? NOTHING;
  const [width, height] = stage.size;
  const mark = (kind, name, put, otherwise) => ({ name, kind, at: put ?? otherwise, unplaced: !put });
  return {
    hub: mark("hub", w("picture.hub"), pointed.hub ?? found.hub, [width / 2, height / 2]),
    flyer: mark("flyer", w("watch.flyer"), pointed.flyer ?? found.flyer_at, [width * 0.25, height * 0.3]),
  };
}

function dropped(name) {
  pointed[name] = handles.at(name);
  forget.hidden = false;
  measured.measure();
}

function given() {
  const told = { by_hand: form.elements.by_hand.checked };
  for (const name of ["ratio", "captured_at", "side"]) told[name] = form.elements[name].value.trim();
  for (const [name, [x, y]] of Object.entries(pointed)) told[name] = `${x.toFixed(1)},${y.toFixed(1)}`;
  return told;
}

function showGiven(told) {
  form.elements.by_hand.checked = Boolean(told.by_hand);
  for (const name of ["ratio", "captured_at", "side"]) form.elements[name].value = told[name] ?? "";
}

// Playing.

video.addEventListener("loadedmetadata", () => {
  if (!measured.latest) stage.sized([video.videoWidth, video.videoHeight]);
});

function step(stored) {
  const course = measured.latest?.course;
  played.at(stored);
  if (!course || !lines) return;
  const moment = stored / course.stored_per_real;
  const flyer = course.flyer_rad ? direction(course) * at(course.times_s, course.flyer_rad, moment) : null;
  lines.turn(at(course.times_s, course.wheel_rad, moment), flyer);
  const times = course.cadence.map(([t]) => t);
  cadence?.cursorAt(moment, at(times, course.cadence.map(([, per]) => per), moment));
}

/** An open band turns wheel and flyer the same way round. */
function direction(course) {
  return course.wheel_rad.at(-1) < course.wheel_rad[0] ? -1 : 1;
}

followed(video, step);

// Showing.

function show() {
  const now = measured.latest;
  if (!now) return;
  stage.sized(now.size_px);
  film.load();
  played.ready();
  lines = new TurningLines(stage.drawing, now.drawn);
  const there = ["wheel", "flyer"].filter((kind) => now.drawn[kind]);
  legend.replaceChildren(...there.map((kind) => make("li", { class: kind }, w(`watch.legend_${kind}`))));
  showAnswer(element("answer"), now, measured.before, (reading) => reading.ratio);
  showCadence(now.course);
  showSpectrum(now.spectrum);
  handles.show(marks());
  step(video.currentTime || 0);
}

function showCadence(course) {
  element("cadence").hidden = !course;
  if (!course) return;
  const values = course.cadence.map(([, per]) => per);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = 0.15 * (high - low) || 1;
  const y = [Math.max(0, low - room), high + room];
  const told = w("watch.cadence_told", { low: low.toFixed(1), high: high.toFixed(1), mean: course.mean.text });
  cadence = new Chart(element("cadence"), {
    points: course.cadence,
    x: [0, course.times_s.at(-1)],
    y,
    xTicks: ticks(0, course.times_s.at(-1), 6),
    yTicks: ticks(...y, 3),
    lastTick: (tick) => w("job.seconds", { count: tick }),
    caption: `${w("watch.cadence")} · ${w("watch.mean")} ${course.mean.text}`,
    told,
    follows: true,
    marks: (chart) => {
      const level = chart.up(course.mean.value);
      return [draw("path", { class: "level", d: `M${chart.across(0)} ${level}H${chart.across(course.times_s.at(-1))}` })];
    },
  });
}

function showSpectrum(spectrum) {
  element("spectrum").hidden = !spectrum;
  if (!spectrum) return;
  const found = spectrum.candidates;
  const words = spectrum.open ? "watch.spectrum_open" : "watch.spectrum_told";
  new Chart(element("spectrum"), {
    points: spectrum.orders.map((order, k) => [order, spectrum.power[k]]),
    x: [spectrum.orders[0], spectrum.orders.at(-1)],
    y: [0, 1.15],
    logarithmic: true,
    xTicks: RATIO_TICKS,
    yTicks: [],
    caption: w("watch.spectrum"),
    told: w(words, { at: found.map((each) => each.text).join(", ") }),
    marks: (chart) => found.flatMap((each) => peak(chart, each)),
  });
}

function peak(chart, { value, text }) {
  const x = chart.across(value);
  return [
    draw("path", { class: "peak-line", d: `M${x} ${chart.up(1.02)}V${chart.up(0)}` }),
    draw("circle", { class: "peak", cx: x, cy: chart.up(1.07), r: 5 }),
    draw("text", { x, y: chart.up(1.07) - 10, "text-anchor": "middle" }, text),
  ];
}

const legend = make("ul", { class: "legend" });
const forget = tool("picture.forget", () => {
  pointed = {};
  handles.show(marks());
  measured.measure();
});
forget.hidden = true;
const mend = mending(
  "watch.mend",
  ...viewTools(stage),
  element("speed").parentElement,
  tool("picture.place_hub", (event) => handles.chooseBy(event, "hub")),
  tool("watch.place_flyer", (event) => handles.chooseBy(event, "flyer")),
  forget,
  legend,
);
element("tools").append(mend, said);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  measured.measure();
});
form.addEventListener("change", () => measured.measure());

// Slip.

let slip = null;

function percent({ slip_percent: found }) {
  return found && { ...found, text: `${found.text} %` };
}

function showSlip() {
  if (slip) showAnswer(element("slip-answer"), slip, null, percent);
}

element("slip")?.addEventListener("submit", async (event) => {
  event.preventDefault();
  const { hand, drive } = event.target.elements;
  const order = { drive: drive.value, given: { side: form.elements.side.value } };
  const begin = () => beginJob("slip", { hand: hand.value, work: measured.id }, order);
  const outcome = await work(element("slip-working"), begin, { usually: 2 * measured.usually });
  if (!outcome || outcome === OVERTAKEN) return;
  slip = outcome;
  showSlip();
});

onUnits(() => {
  if (measured.latest) showAnswer(element("answer"), measured.latest, measured.before, (reading) => reading.ratio);
  showSlip();
});
if (measured.latest) {
  const { given: before } = measured.latest;
  showGiven(before);
  for (const name of ["hub", "flyer"]) if (before[name]) pointed[name] = before[name].split(",").map(Number);
  forget.hidden = !Object.keys(pointed).length;
  show();
} else film.load();
const shownFirst = Boolean(measured.latest);
measured.begin().then(() => {
  if (!shownFirst && measured.latest && !calm()) video.play().catch(() => {});
});
