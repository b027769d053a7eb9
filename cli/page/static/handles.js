// Marks on the picture that can be moved: dragged by mouse or finger, moved by arrow keys, or chosen and put where
// the picture is tapped next. Under a finger a magnifier shows what it hides.

import { make } from "./dom.js";
import { w } from "./words.js";

const FINE_PX = 1;
const COARSE_PX = 12;
const APART_PX = 34;
/** Moved by keys, a mark counts as put when they have rested so long. */
const REST_MS = 900;

export class Handles {
  /** `said` is an element that screen readers listen to; `dropped` is called with a mark that was moved. */
  constructor(stage, loupe, said, dropped) {
    Object.assign(this, { stage, loupe, said, dropped });
    this.marks = new Map();
    this.chosen = null;
    this.keyed = null;
    stage.changed = () => this.#lay();
    stage.tapped = (place) => {
      if (this.chosen) this.#put(this.chosen, place, true);
    };
  }

  /**
   * Show marks: {id: {name, kind, at: [x, y], unplaced}}, where `unplaced` says that nobody found or put it. One that is being
   * moved stays where the person has it.
   */
  show(marks) {
    for (const [id, mark] of this.marks) {
      if (!(id in marks) && !mark.held) {
        mark.button.remove();
        this.marks.delete(id);
        if (this.chosen === mark) this.choose(null);
      }
    }
    for (const [id, { name, kind, at, unplaced = false }] of Object.entries(marks)) {
      if (this.marks.get(id)?.held) continue;
      if (!this.marks.has(id)) this.marks.set(id, this.#made(id, name, kind, at));
      Object.assign(this.marks.get(id), { at, unplaced });
    }
    this.#lay();
  }

  at(id) {
    return this.marks.get(id)?.at;
  }

  /** Choose a mark by its id, so that the next tap puts it. */
  choose(id) {
    const before = this.chosen;
    this.chosen = id === null ? null : (this.marks.get(id) ?? null);
    for (const mark of this.marks.values()) {
      mark.button.setAttribute("aria-pressed", mark === this.chosen ? "true" : "false");
    }
    // Other marks do not stand in the way of the tap that puts it.
    this.stage.over.classList.toggle("placing", Boolean(this.chosen));
    if (before && !this.chosen) this.said.textContent = "";
    if (this.chosen) this.said.textContent = w("picture.placing", { name: this.chosen.name.toLowerCase() });
  }

  /** Choose one by a button elsewhere: pressed by keyboard, arrow keys move the mark from there. */
  chooseBy(event, id) {
    this.choose(id);
    if (event.detail > 0 || !this.chosen) return;
    this.chosen.button.hidden = false;
    this.chosen.button.focus();
  }

  #made(id, name, kind, at) {
    const button = make("button", { type: "button", class: `handle ${kind}`, "aria-pressed": "false", "data-mark": id });
    const mark = { id, name, at, button, held: false };
    button.addEventListener("pointerdown", (event) => this.#grab(mark, event));
    button.addEventListener("click", (event) => this.#clicked(mark, event));
    button.addEventListener("keydown", (event) => this.#key(mark, event));
    button.addEventListener("focus", () => this.stage.reveal(mark.at));
    this.stage.over.append(button);
    return mark;
  }

  /** A click by keyboard, or one that moved nothing, chooses; where the mark is chosen already, it may belong right there. */
  #clicked(mark, event) {
    const moved = mark.moved && event.detail > 0;
    mark.moved = false;
    if (moved) return;
    if (this.chosen !== mark) this.choose(mark.id);
    // By keyboard, or the second of a double click: it is not to be put after all.
    else if (event.detail !== 1) this.choose(null);
    else this.#put(mark, this.#placeOf(event), true);
  }

  /** Where in the picture something happens on the screen. */
  #placeOf({ clientX, clientY }, [dx, dy] = [0, 0]) {
    const { left, top } = this.stage.element.getBoundingClientRect();
    return this.stage.inside(this.stage.toPicture([clientX - left - dx, clientY - top - dy]));
  }

  #grab(mark, event) {
    if (event.button > 0) return;
    if (this.keyed) this.#rest();
    // A second finger on the same mark.
    if (mark.held) return;
    event.preventDefault();
    mark.button.focus({ preventScroll: true });
    mark.button.setPointerCapture(event.pointerId);
    const box = this.stage.element.getBoundingClientRect();
    const start = this.stage.toStage(mark.at);
    const offset = [event.clientX - box.left - start[0], event.clientY - box.top - start[1]];
    Object.assign(mark, { held: true, moved: false });
    const move = (now) => {
      mark.moved = true;
      mark.at = this.#placeOf(now, offset);
      this.#lay();
      this.loupe.show(mark.at, this.stage.toStage(mark.at));
    };
    const end = () => {
      mark.button.removeEventListener("pointermove", move);
      mark.held = false;
      this.loupe.hide();
      if (mark.moved) this.#put(mark, mark.at, true);
    };
    mark.button.addEventListener("pointermove", move);
    mark.button.addEventListener("lostpointercapture", end, { once: true });
  }

  #key(mark, event) {
    const directions = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (event.key === "Escape") this.choose(null);
    const direction = directions[event.key];
    if (!direction) return;
    event.preventDefault();
    const step = (event.shiftKey ? COARSE_PX : FINE_PX) / this.stage.scale;
    const at = this.stage.inside([mark.at[0] + direction[0] * step, mark.at[1] + direction[1] * step]);
    // Of two marks that are moved one after the other, the first is not forgotten.
    if (this.keyed && this.keyed !== mark) this.#rest();
    this.keyed = mark;
    mark.held = true;
    this.#put(mark, at, false);
    this.loupe.show(mark.at, this.stage.toStage(mark.at));
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.#rest(), REST_MS);
  }

  /** The keys rest: what they moved is measured. */
  #rest() {
    clearTimeout(this.resting);
    const mark = this.keyed;
    this.keyed = null;
    mark.held = false;
    this.loupe.hide();
    if (this.chosen === mark) this.choose(null);
    this.dropped(mark.id);
  }

  #put(mark, place, told) {
    // To a tenth of a pixel, as it is told and as it comes back when the screen is opened again.
    const at = place.map((each) => Math.round(10 * each) / 10);
    Object.assign(mark, { at, unplaced: false });
    this.#lay();
    if (told) this.choose(null);
    this.said.textContent = w("picture.moved", { name: mark.name, x: Math.round(at[0]), y: Math.round(at[1]) });
    if (told) this.dropped(mark.id);
  }

  #lay() {
    const shown = [];
    for (const mark of this.marks.values()) {
      const [x, y] = this.stage.toStage(mark.at);
      // One that would lie on another is there as soon as the picture is closer.
      const covered = shown.some(([left, top]) => Math.hypot(x - left, y - top) < APART_PX);
      mark.button.hidden = covered && !mark.held && document.activeElement !== mark.button;
      if (!mark.button.hidden) shown.push([x, y]);
      mark.button.style.transform = `translate(${x}px, ${y}px)`;
      mark.button.classList.toggle("unplaced", mark.unplaced);
      const place = { name: mark.unplaced ? w("picture.unplaced", { name: mark.name }) : mark.name, x: Math.round(mark.at[0]), y: Math.round(mark.at[1]) };
      mark.button.setAttribute("aria-label", w("picture.mark", place));
    }
  }
}
