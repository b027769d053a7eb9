// One picture: it is measured, what was found is drawn on it, and every mark that is moved measures it again.

import { showAnswer } from "./answer.js";
import { make } from "./dom.js";
import { drawFound, marksOf, middleOf } from "./found.js";
import { Handles } from "./handles.js";
import { given, onKnown, pointedIn, referenceKind, showGiven } from "./known.js";
import { Loupe } from "./loupe.js";
import { beginJob, lookAtJob, stopJob } from "./server.js";
import { Stage } from "./stage.js";
import { tool, viewTools } from "./tools.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";
import { work } from "./working.js";

const NOTHING = { hub: null, rim: null, whirls: [], runs: [], references: [] };
const id = document.getElementById("measuring").dataset.id;
const places = { working: document.getElementById("working"), answer: document.getElementById("answer") };
const readings = JSON.parse(document.getElementById("readings").textContent);
const said = make("p", { class: "said", role: "status" });
const stage = new Stage(document.getElementById("stage"));
const handles = new Handles(stage, new Loupe(stage), said, dropped);
// Where the person put marks; what is not here was found by the program.
let pointed = {};
let job = null;

function latest() {
  return readings.at(-1);
}

function usually() {
  return latest()?.seconds ?? Number(localStorage.getItem("photo-seconds") ?? 20);
}

// What can be pointed at.

function marks() {
  const found = latest()?.drawn ?? NOTHING;
  const shown = marksOf(found, w);
  const middle = [stage.size[0] / 2, stage.size[1] / 2];
  const kind = referenceKind();
  if (kind === "coin") shown.coin = { name: w("picture.coin"), kind: "reference", at: coinMiddle(found) ?? middle };
  if (kind === "points") {
    ends(found, middle).forEach((at, k) => {
      shown[`point${k}`] = { name: w("picture.point", { number: k + 1 }), kind: "reference", at };
    });
  }
  if (!shown.hub) shown.hub = { name: w("picture.hub"), kind: "hub", at: middle };
  if (!shown.whirl) shown.whirl = { name: w("picture.whirl"), kind: "whirl", at: [middle[0] * 0.4, middle[1] * 0.6] };
  for (const [name, at] of Object.entries(pointed)) if (shown[name] && at) shown[name].at = at;
  return shown;
}

function coinMiddle(found) {
  const coin = found.references.find((each) => each.kind === "coin");
  return coin ? [0, 1].map((k) => (coin.corners[0][k] + coin.corners[1][k]) / 2) : null;
}

/** Two points to begin with: the long side of what was found, or some place in the picture. */
function ends(found, middle) {
  const corners = found.references[0]?.corners;
  return corners ? corners.slice(0, 2) : [0.8, 1.2].map((share) => [middle[0] * share, middle[1]]);
}

function dropped(name) {
  pointed[name] = handles.at(name);
  forget.hidden = false;
  // A mark on the rim says where the axle is, one on the band where the whirl is: what the measurement asks for.
  if (name.startsWith("rim")) pointed.hub = middleOf([0, 1, 2].map((k) => handles.at(`rim${k}`))) ?? pointed.hub;
  if (name.startsWith("band")) {
    const [one, other] = [handles.at("band0"), handles.at("band1")];
    pointed.whirl = [(one[0] + other[0]) / 2, (one[1] + other[1]) / 2];
  }
  if (name.startsWith("point")) for (const k of [0, 1]) pointed[`point${k}`] = handles.at(`point${k}`);
  if (pointed.hub) pointed.hub = stage.inside(pointed.hub);
  handles.show(marks());
  measure();
}

// Measuring.

/** Measure with what is known now; or follow the job `id` that was begun before. */
async function measure(running = "") {
  const told = given(pointed);
  if (told.reference === null) {
    said.textContent = w("picture.size_first");
    return;
  }
  if (job) await stopJob(job).catch(() => {});
  let mine = null;
  const begin = async () => {
    mine = running ? await lookAtJob(running) : await beginJob("photo", { picture: id }, { given: told });
    job = mine;
    return mine;
  };
  const outcome = await work(places.working, begin, { usually: usually(), told: (now) => now.share > 0 && preview() });
  if (job !== mine) return;
  job = null;
  if (outcome) {
    readings.push(outcome);
    localStorage.setItem("photo-seconds", String(outcome.seconds));
    show();
  } else if (!latest()) places.working.append(make("a", { class: "button quiet", href: "/photo" }, w("picture.another")));
}

async function preview() {
  if (stage.image.getAttribute("src")) return;
  stage.image.setAttribute("src", `/media/${id}/preview`);
  await stage.image.decode().catch(() => stage.image.removeAttribute("src"));
  if (!latest() && stage.image.naturalWidth) {
    // Places count in the file's pixels, which only a reading tells; until then those of the preview do.
    stage.show(stage.image.getAttribute("src"), [stage.image.naturalWidth, stage.image.naturalHeight], alt());
  }
}

function alt() {
  return w("picture.preview", { name: document.title.split(" · ")[0] });
}

// Showing.

function show() {
  const now = latest();
  if (!now) return;
  stage.show(`/media/${id}/preview`, now.size_px, alt());
  const kinds = drawFound(stage.drawing, now.drawn);
  legend.replaceChildren(...kinds.map((kind) => make("li", { class: kind }, w(`picture.legend_${kind}`))));
  showAnswer(places.answer, now, readings.at(-2), (reading) => reading.ratios[0]?.ratio ?? null);
  handles.show(marks());
}

const legend = make("ul", { class: "legend" });
const forget = tool("picture.forget", () => {
  pointed = {};
  handles.show(marks());
  measure();
});
forget.hidden = true;
document.getElementById("tools").append(
  ...viewTools(stage),
  tool("picture.place_hub", () => handles.choose("hub")),
  tool("picture.place_whirl", () => handles.choose("whirl")),
  forget,
  legend,
  said,
);

onKnown(() => {
  handles.show(marks());
  measure();
}, () => measure());
onUnits(show);
if (latest()) {
  showGiven(latest().given);
  pointed = pointedIn(latest().given);
  forget.hidden = !Object.keys(pointed).length;
  show();
}
const { job: running } = document.getElementById("measuring").dataset;
if (running || !latest()) measure(running);
