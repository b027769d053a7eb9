// Clicks at a cadence, timed by the sound's own clock, and a beat to look at. Who wants things to stand still sees a
// count that changes, and nothing that moves.

import { calm, draw } from "./dom.js";
import { w } from "./words.js";

const form = document.getElementById("practice");
const said = document.getElementById("said");
const button = form.querySelector("button");
const { cadence, slider, clicks, accent, volume } = form.elements;
/** Clicks are handed to the sound's clock so long before they are due, and looked for so often. */
const AHEAD_S = 0.25;
const EVERY_MS = 60;
/** A short wooden knock; the accent is lower. */
const KNOCK = { hz: 1250, accent_hz: 780, seconds: 0.045 };
const ACCENT_EVERY = 4;
/** A sound's clock that has not moved so long after the start stands still. */
const SILENT_AFTER_MS = 1500;
const [MIDDLE, REACH] = [110, 82];

let context = null;
let loud = null;
let silent = false;
let timer = 0;
let waiting = 0;
let frame = 0;
let next = null;
let beats = [];

// What is seen: a wheel with its treadle's crank, and a count.

const crank = draw("g", {}, draw("path", { class: "spoke", d: `M0 0V${-REACH}` }), draw("circle", { class: "bob", cx: 0, cy: -REACH, r: 15 }));
const count = draw("text", { class: "count", x: MIDDLE, y: MIDDLE + 19, "text-anchor": "middle" }, "1");
const place = document.getElementById("beat");
place.append(
  draw(
    "svg",
    { viewBox: "0 0 220 220", "aria-hidden": "true" },
    draw("circle", { class: "rim", cx: MIDDLE, cy: MIDDLE, r: REACH }),
    draw("g", { transform: `translate(${MIDDLE} ${MIDDLE})` }, crank),
    draw("circle", { class: "hub", cx: MIDDLE, cy: MIDDLE, r: 34 }),
    count,
  ),
);

function perMinute() {
  return Math.min(200, Math.max(10, Number(cadence.value) || 60));
}

/** The sound's own clock, in s; another where the computer makes no sound, so that the beat can be seen all the same. */
function clock() {
  return silent ? performance.now() / 1000 : context.currentTime;
}

function knock(moment, deep) {
  const tone = context.createOscillator();
  const fading = context.createGain();
  tone.type = "triangle";
  tone.frequency.value = deep ? KNOCK.accent_hz : KNOCK.hz;
  fading.gain.setValueAtTime(1, moment);
  fading.gain.exponentialRampToValueAtTime(0.001, moment + KNOCK.seconds);
  tone.connect(fading).connect(loud);
  tone.start(moment);
  tone.stop(moment + KNOCK.seconds);
}

/** Hand the next clicks to the sound's clock; a change of cadence holds from the next click on. */
function schedule() {
  while (next.at < clock() + AHEAD_S) {
    const each = Number(clicks.value);
    // What the browser slept through is not made up for, all at once.
    if (!silent && next.at >= clock()) knock(next.at, accent.checked && next.number % ACCENT_EVERY === 0);
    beats.push({ ...next, lasts: 60 / perMinute() / each, each });
    next = { at: next.at + 60 / perMinute() / each, number: next.number + 1 };
  }
  beats = beats.filter((beat) => beat.at + beat.lasts > clock() - 1);
}

function look() {
  if (!timer) return;
  const now = clock();
  const beat = beats.findLast((each) => each.at <= now);
  if (beat) {
    const words = String((beat.number % ACCENT_EVERY) + 1);
    if (count.textContent !== words) {
      count.textContent = words;
      place.dataset.beats = String(beat.number + 1);
    }
    const turned = calm() ? 0 : ((beat.number % beat.each) + (now - beat.at) / beat.lasts) / beat.each;
    crank.setAttribute("transform", `rotate(${(360 * turned).toFixed(1)})`);
  }
  frame = requestAnimationFrame(look);
}

function start() {
  // Where a phone lets us say so, clicks are heard although it is set to silent.
  if (navigator.audioSession) navigator.audioSession.type = "playback";
  context ??= new AudioContext();
  context.resume().catch(goSilent);
  loud ??= context.createGain();
  loud.connect(context.destination);
  loud.gain.value = Number(volume.value);
  silent = false;
  begin();
  timer = setInterval(schedule, EVERY_MS);
  const began = context.currentTime;
  waiting = setTimeout(() => context.currentTime === began && goSilent(), SILENT_AFTER_MS);
  schedule();
  look();
  button.textContent = w("practice.stop");
  said.textContent = w("practice.running", { cadence: perMinute() });
}

function begin() {
  beats = [];
  next = { at: clock() + 0.15, number: 0 };
}

function goSilent() {
  if (!timer) return;
  silent = true;
  begin();
  said.textContent = w("practice.no_sound");
}

function stop() {
  clearInterval(timer);
  clearTimeout(waiting);
  cancelAnimationFrame(frame);
  timer = 0;
  context.suspend();
  button.textContent = w("practice.start");
  said.textContent = w("practice.stopped");
}

form.addEventListener("submit", (event) => {
  event.preventDefault();
  if (timer) stop();
  else start();
});
cadence.addEventListener("input", () => (slider.value = perMinute()));
slider.addEventListener("input", () => (cadence.value = slider.value));
for (const each of [cadence, slider]) each.addEventListener("change", () => timer && (said.textContent = w("practice.running", { cadence: perMinute() })));
volume.addEventListener("input", () => loud && (loud.gain.value = Number(volume.value)));
