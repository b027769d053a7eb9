// One picture: it is measured, what was found is drawn on it, and every mark that is moved measures it again.

import { showAnswer } from "./answer.js";
import { make } from "./dom.js";
import { drawFound } from "./found.js";
import { Handles } from "./handles.js";
import { given, hasCorners, onKnown, showGiven } from "./known.js";
import { Loupe } from "./loupe.js";
import { Measured } from "./measured.js";
import { Pointing } from "./pointing.js";
import { Stage } from "./stage.js";
import { tool, viewTools } from "./tools.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";

const said = make("p", { class: "said", role: "status" });
const stage = new Stage(document.getElementById("stage"));
const handles = new Handles(stage, new Loupe(stage), said, dropped);
const pointing = new Pointing(stage);
const measured = new Measured("photo", {
  usual: 20,
  order: () => ({ media: { picture: measured.id }, given: given(pointing.at) }),
  show,
  told: (now) => now.share > 0 && preview(),
});
const address = `/media/${measured.id}/preview`;

function marks() {
  return pointing.marks(measured.latest.drawn);
}

function dropped(name) {
  pointed(pointing.moved(name, (each) => handles.at(each)));
}

/** Show where marks stand now and measure, or tell how many corners are still to be put before that. */
function pointed(cornersLeft) {
  forget.hidden = !pointing.anything;
  handles.show(marks());
  if (cornersLeft) said.textContent = w("picture.corners_left", { count: cornersLeft });
  else measure();
}

// Measuring.

function measure() {
  if (given(pointing.at).reference === null) said.textContent = w("picture.size_first");
  else measured.measure();
}

async function preview() {
  if (stage.image.getAttribute("src")) return;
  stage.image.setAttribute("src", address);
  await stage.image.decode().catch(() => stage.image.removeAttribute("src"));
  if (!measured.latest && stage.image.naturalWidth) {
    // Until a reading tells the file's size in pixels, that of the preview serves.
    stage.show(address, [stage.image.naturalWidth, stage.image.naturalHeight], alt());
  }
}

function alt() {
  return w("picture.preview", { name: document.title.split(" · ")[0] });
}

// Showing.

function show() {
  showTools();
  const now = measured.latest;
  if (!now) return;
  stage.show(address, now.size_px, alt());
  const kinds = drawFound(stage.drawing, now.drawn);
  legend.replaceChildren(...kinds.map((kind) => make("li", { class: kind }, w(`picture.legend_${kind}`))));
  showAnswer(document.getElementById("answer"), now, measured.before, (reading) => reading.ratios[0]?.ratio ?? null);
  handles.show(marks());
}

const legend = make("ul", { class: "legend" });
const corners = tool("picture.place_corners", () => pointed(pointing.offerCorners()));
const forget = tool("picture.forget", () => {
  pointing.forget();
  pointed(0);
});
forget.hidden = true;
document.getElementById("tools").append(
  ...viewTools(stage),
  tool("picture.place_hub", () => handles.choose("hub")),
  tool("picture.place_whirl", () => handles.choose("whirl")),
  corners,
  forget,
  legend,
  said,
);

/** Places count in the file's pixels, which only a reading tells. */
function showTools() {
  corners.hidden = !hasCorners() || !measured.latest;
}

onKnown(() => {
  showTools();
  if (measured.latest) handles.show(marks());
  measure();
}, measure);
onUnits(show);
if (measured.latest) {
  showGiven(measured.latest.given);
  pointing.goOn(measured.latest.given);
  forget.hidden = !pointing.anything;
}
show();
measured.begin();
