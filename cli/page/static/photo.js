// One picture: it is measured, what was found is drawn on it, and every mark that is moved measures it again.

import { showAnswer } from "./answer.js";
import { make } from "./dom.js";
import { drawFound } from "./found.js";
import { Handles } from "./handles.js";
import { given, hasCorners, lacking, onKnown, sayBeside, showGiven } from "./known.js";
import { Loupe } from "./loupe.js";
import { Measured } from "./measured.js";
import { Pointing } from "./pointing.js";
import { ask } from "./server.js";
import { Stage } from "./stage.js";
import { mending, tool, viewTools } from "./tools.js";
import { onUnits } from "./units.js";
import { w } from "./words.js";

/** Whether the file's size in pixels is known. */
let sized = false;
/** Whether its size is just being asked for. */
let looking = false;
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
const NOTHING_YET = { hub: null, rim: null, whirls: [], runs: [], references: [] };
/** Marks that the person asked for before anything was found. */
const early = new Set();

function marks() {
  if (measured.latest) return pointing.marks(measured.latest.drawn);
  // What stands where nobody has put or found it would be taken for found.
  const asked = ([name]) => early.has(name) || name in pointing.at || name.startsWith("corner");
  return Object.fromEntries(Object.entries(pointing.marks(NOTHING_YET)).filter(asked));
}

/** Have a mark put where the picture is tapped next. */
function place(event, name) {
  early.add(name);
  handles.show(marks());
  handles.chooseBy(event, name);
}

function dropped(name) {
  pointed(pointing.moved(name, (each) => handles.at(each)));
}

/** Show where marks stand now and measure, or tell how many corners are still to be put before that. */
function pointed(cornersLeft) {
  showWays();
  handles.show(marks());
  if (cornersLeft) said.textContent = w("picture.corners_left", { count: cornersLeft });
  else measure();
}

/** Show the ways back that there are. */
function showWays() {
  forget.hidden = !pointing.anything;
  takeBack.hidden = !pointing.canTakeBack;
}

// Measuring.

function measure() {
  const lacks = lacking(pointing.at);
  said.textContent = lacks;
  sayBeside(lacks || make("a", { href: "#answer" }, w("picture.answer_above")));
  if (!lacks) measured.measure();
}

/** The person asked to measure: on a phone the answer is far above the button. */
function asked() {
  measure();
  if (!lacking(pointing.at)) document.getElementById("working").scrollIntoView({ block: "center" });
}

async function preview() {
  if (looking || stage.image.getAttribute("src")) return;
  looking = true;
  try {
    const { size_px: size } = await ask(`/media/${measured.id}/size`);
    // It is asked for again when more is told of the work.
    if (!size || measured.latest) return;
    stage.show(address, size, alt());
    sized = true;
    showTools();
  } catch {
    // Likewise.
  } finally {
    looking = false;
  }
}

function alt() {
  return w("picture.preview", { name: document.title.split(" · ")[0] });
}

// Showing.

function ratioOf(reading) {
  return reading.ratios[0]?.ratio ?? null;
}

function show() {
  const now = measured.latest;
  sized ||= Boolean(now);
  showTools();
  if (!now) return;
  stage.show(address, now.size_px, alt());
  const kinds = drawFound(stage.drawing, now.drawn);
  legend.replaceChildren(...kinds.map((kind) => make("li", { class: kind }, w(`picture.legend_${kind}`))));
  // Where nothing was measured, the last answer that there was.
  const before = ratioOf(now) ? measured.before : measured.readings.findLast(ratioOf);
  showAnswer(document.getElementById("answer"), now, before, ratioOf);
  handles.show(marks());
}

const legend = make("ul", { class: "legend" });
const hub = tool("picture.place_hub", (event) => place(event, "hub"));
const whirl = tool("picture.place_whirl", (event) => place(event, "whirl"));
const corners = tool("picture.place_corners", () => pointed(pointing.offerCorners()));
const forget = tool("picture.forget", () => {
  pointing.forget();
  early.clear();
  pointed(0);
});
const takeBack = tool("picture.undo", () => pointed(pointing.takeBack()));
showWays();
const mend = mending("picture.mend", hub, whirl, corners, forget, legend);
document.getElementById("tools").append(...viewTools(stage), takeBack, mend, said);

/** Places count in the file's pixels, which are known once the picture was looked at. */
function showTools() {
  hub.hidden = whirl.hidden = !sized;
  corners.hidden = !hasCorners() || !sized;
}

onKnown(() => {
  showTools();
  if (sized) handles.show(marks());
  measure();
}, asked);
onUnits(show);
if (measured.latest) {
  showGiven(measured.latest.given);
  pointing.goOn(measured.latest.given);
  showWays();
}
show();
measured.begin();
