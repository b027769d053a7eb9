// What the person points at in a picture: where the marks stand, and what one that is moved means.

import { markOf, marksOf, middleOf } from "./found.js";
import { CORNERS, hasCorners, pointedIn, referenceKind, RIM } from "./known.js";
import { w } from "./words.js";

const SQUARE = [[-1, -1], [1, -1], [1, 1], [-1, 1]];

export class Pointing {
  constructor(stage) {
    this.stage = stage;
    this.forget();
  }

  forget() {
    // What was pointed at before each mark that was put, so that it can be taken back.
    this.earlier = [];
    // Where the person put marks, by their ids; what is not here was found by the program.
    this.at = {};
    // Where the corners' marks began that are to be put one by one; null as soon as all of them were.
    this.offered = null;
    // Whether the axle's mark stands where marks on the rim put it.
    this.hubByRim = false;
  }

  /** Go on with what was pointed at for a reading. */
  goOn(given) {
    this.at = pointedIn(given);
  }

  get anything() {
    return Object.keys(this.at).length > 0;
  }

  get canTakeBack() {
    return this.earlier.length > 0;
  }

  /** Point as before the last mark was put. Gives how many corners are then still to be put. */
  takeBack() {
    Object.assign(this, this.earlier.pop());
    return this.offered ? this.#unput().length : 0;
  }

  #remember() {
    this.earlier.push({ at: { ...this.at }, hubByRim: this.hubByRim, offered: this.offered });
  }

  #unput() {
    return CORNERS.filter((each) => !this.at[each]);
  }

  /** Marks where the person put them, else where they were found, else somewhere in the picture. */
  marks(found) {
    const shown = { ...marksOf(found, w), ...this.#references(found) };
    const [x, y] = [this.stage.size[0] / 2, this.stage.size[1] / 2];
    if (!shown.hub) shown.hub = { name: w("picture.hub"), kind: "hub", at: [x, y], unplaced: true };
    if (!shown.whirl) shown.whirl = { name: w("picture.whirl"), kind: "whirl", at: [x * 0.4, y * 0.6], unplaced: true };
    for (const [name, at] of Object.entries(this.at)) {
      // A mark that led to nothing stays, so that it can be put better.
      shown[name] ??= markOf(name, w);
      if (shown[name]) Object.assign(shown[name], { at, unplaced: false });
      else delete shown[name];
    }
    return shown;
  }

  /** Take a mark as moved, `placeOf` giving where each stands now. Gives how many corners are still to be put. */
  moved(name, placeOf) {
    this.#remember();
    this.at[name] = placeOf(name);
    if (name === "hub") this.hubByRim = false;
    if (name.startsWith("point")) for (const each of ["point0", "point1"]) this.at[each] = placeOf(each);
    // Marks on the rim say where the axle is, too, unless the person did. One may have gone while another was held.
    const rim = RIM.includes(name) && RIM.every(placeOf) ? RIM.map(placeOf) : null;
    const middle = rim && middleOf(rim);
    if (middle && (!this.at.hub || this.hubByRim)) {
      this.at.hub = this.stage.inside(middle);
      this.hubByRim = true;
    }
    return CORNERS.includes(name) ? this.#cornersLeft(placeOf) : 0;
  }

  /** Begin with four corners in the middle of what is seen of the picture. Gives how many are to be put. */
  offerCorners() {
    const { stage } = this;
    this.#remember();
    for (const each of CORNERS) delete this.at[each];
    const [x, y] = stage.toPicture([stage.width / 2, stage.height / 2]);
    const [wide, high] = [stage.width / 8 / stage.scale, stage.height / 10 / stage.scale];
    this.offered = SQUARE.map(([dx, dy]) => stage.inside([x + dx * wide, y + dy * high]));
    return CORNERS.length;
  }

  /** Of corners that were found, one that is moved leaves the others where they are. */
  #cornersLeft(placeOf) {
    if (!this.offered) for (const each of CORNERS) this.at[each] = placeOf(each);
    const left = this.#unput().length;
    if (!left) this.offered = null;
    return left;
  }

  #references(found) {
    const mark = (name, at) => ({ name, kind: "reference", at });
    const [x, y] = [this.stage.size[0] / 2, this.stage.size[1] / 2];
    const kind = referenceKind();
    const corners = found.references.find((each) => each.kind === kind)?.corners;
    const two = (found.references[0]?.corners ?? [[x * 0.8, y], [x * 1.2, y]]).slice(0, 2);
    if (kind === "coin") return { coin: mark(w("picture.coin"), corners ? between(corners) : [x, y]) };
    if (kind === "points") return numbered("point", "picture.point", two);
    const places = CORNERS.map((each, k) => this.at[each] ?? this.offered?.[k] ?? corners?.[k]);
    return hasCorners() && places.every(Boolean) ? numbered("corner", "picture.corner", places) : {};

    function numbered(id, words, all) {
      return Object.fromEntries(all.map((at, k) => [`${id}${k}`, mark(w(words, { number: k + 1 }), at)]));
    }
  }
}

function between([one, other]) {
  return [0, 1].map((k) => (one[k] + other[k]) / 2);
}
