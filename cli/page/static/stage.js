// A picture that can be moved and zoomed, with a drawing over it. Places are pixels of the upright file, whose
// centres lie at whole numbers.

import { draw, make } from "./dom.js";

const MOST = 12;
const STEP = 1.4;
const KEY_PX = 60;
const TAP_PX = 6;

export class Stage {
  /** `image` may be a video. */
  constructor(element, image = make("img", { alt: "", draggable: "false" })) {
    this.element = element;
    this.image = image;
    this.drawing = draw("svg", { "aria-hidden": "true", preserveAspectRatio: "none" });
    this.sheet = make("div", { class: "sheet" }, this.image, this.drawing);
    this.over = make("div", { class: "over" });
    element.append(this.sheet, this.over);
    this.size = [4, 3];
    this.zoom = 1;
    this.middle = [0.5, 0.5];
    this.changed = () => {};
    this.tapped = () => {};
    this.pointers = new Map();
    this.#listen();
    new ResizeObserver(() => this.#lay()).observe(element);
  }

  /** Show what lies at an address; `size` is the upright file's, [width, height]. */
  show(address, size, alt) {
    this.sized(size);
    this.image.alt = alt;
    if (this.image.getAttribute("src") !== address) this.image.src = address;
  }

  sized(size) {
    this.size = size;
    // What stands below it on a phone stands beside it then, where there is room.
    this.element.parentElement.classList.toggle("upright", size[1] > 1.4 * size[0]);
    this.element.style.aspectRatio = `${size[0]} / ${size[1]}`;
    this.drawing.setAttribute("viewBox", `-0.5 -0.5 ${size[0]} ${size[1]}`);
    this.#lay();
  }

  /** Screen pixels, within the stage, of a place in the picture. */
  toStage([x, y]) {
    const { left, top, scale } = this.box;
    return [left + (x + 0.5) * scale, top + (y + 0.5) * scale];
  }

  toPicture([x, y]) {
    const { left, top, scale } = this.box;
    return [(x - left) / scale - 0.5, (y - top) / scale - 0.5];
  }

  inside([x, y]) {
    const [width, height] = this.size;
    return [Math.min(Math.max(x, 0), width - 1), Math.min(Math.max(y, 0), height - 1)];
  }

  /** Screen pixels for one of the picture's. */
  get scale() {
    return this.box.scale;
  }

  zoomBy(factor, at = [this.width / 2, this.height / 2]) {
    const fixed = this.toPicture(at);
    this.zoom = Math.min(Math.max(this.zoom * factor, 1), MOST);
    this.#lay();
    const now = this.toStage(fixed);
    this.moveBy(at[0] - now[0], at[1] - now[1]);
  }

  moveBy(dx, dy) {
    const { scale } = this.box;
    this.middle = [this.middle[0] - dx / (scale * this.size[0]), this.middle[1] - dy / (scale * this.size[1])];
    this.#lay();
  }

  whole() {
    this.zoom = 1;
    this.middle = [0.5, 0.5];
    this.#lay();
  }

  /** Bring a place into view if it is not. */
  reveal(place) {
    const [x, y] = this.toStage(place);
    const edge = 30;
    const dx = x < edge ? edge - x : x > this.width - edge ? this.width - edge - x : 0;
    const dy = y < edge ? edge - y : y > this.height - edge ? this.height - edge - y : 0;
    if (dx || dy) this.moveBy(dx, dy);
  }

  #lay() {
    this.width = this.element.clientWidth;
    this.height = this.element.clientHeight;
    const [width, height] = this.size;
    const fit = Math.min(this.width / width, this.height / height);
    const scale = fit * this.zoom;
    const half = [this.width / (2 * scale * width), this.height / (2 * scale * height)];
    this.middle = this.middle.map((m, k) => (half[k] >= 0.5 ? 0.5 : Math.min(Math.max(m, half[k]), 1 - half[k])));
    const left = this.width / 2 - this.middle[0] * width * scale;
    const top = this.height / 2 - this.middle[1] * height * scale;
    this.box = { left, top, scale };
    this.sheet.style.width = `${width * scale}px`;
    this.sheet.style.height = `${height * scale}px`;
    this.sheet.style.transform = `translate(${left}px, ${top}px)`;
    this.changed();
  }

  #listen() {
    const { element } = this;
    element.addEventListener(
      "wheel",
      (event) => {
        // Without a key held the wheel scrolls the page, unless the picture is zoomed already.
        if (!event.ctrlKey && !event.metaKey && this.zoom === 1) return;
        event.preventDefault();
        this.zoomBy(Math.exp(-event.deltaY / 400), this.#at(event));
      },
      { passive: false },
    );
    element.addEventListener("pointerdown", (event) => this.#down(event));
    element.addEventListener("pointermove", (event) => this.#move(event));
    for (const end of ["pointerup", "pointercancel"]) element.addEventListener(end, (event) => this.#up(event));
    element.addEventListener("keydown", (event) => this.#key(event));
  }

  #at(event) {
    const box = this.element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  #down(event) {
    if (event.target.closest(".handle") || event.button > 0) return;
    this.pointers.set(event.pointerId, this.#at(event));
    this.element.setPointerCapture(event.pointerId);
    this.pressed = this.pointers.size === 1 ? this.#at(event) : null;
  }

  #move(event) {
    const last = this.pointers.get(event.pointerId);
    if (!last) return;
    const now = this.#at(event);
    if (this.pressed && Math.hypot(now[0] - this.pressed[0], now[1] - this.pressed[1]) > TAP_PX) this.pressed = null;
    this.pointers.set(event.pointerId, now);
    if (this.pointers.size === 2) {
      const other = [...this.pointers].find(([id]) => id !== event.pointerId)[1];
      const before = Math.hypot(last[0] - other[0], last[1] - other[1]);
      const after = Math.hypot(now[0] - other[0], now[1] - other[1]);
      if (before > 0) this.zoomBy(after / before, [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2]);
    }
    if (!this.pressed) this.moveBy((now[0] - last[0]) / this.pointers.size, (now[1] - last[1]) / this.pointers.size);
  }

  #up(event) {
    if (!this.pointers.delete(event.pointerId)) return;
    if (this.pressed && event.type === "pointerup") this.tapped(this.inside(this.toPicture(this.pressed)));
    this.pressed = null;
  }

  #key(event) {
    if (event.target !== this.element) return;
    const keys = {
      ArrowLeft: () => this.moveBy(KEY_PX, 0),
      ArrowRight: () => this.moveBy(-KEY_PX, 0),
      ArrowUp: () => this.moveBy(0, KEY_PX),
      ArrowDown: () => this.moveBy(0, -KEY_PX),
      "+": () => this.zoomBy(STEP),
      "=": () => this.zoomBy(STEP),
      "-": () => this.zoomBy(1 / STEP),
      0: () => this.whole(),
    };
    const act = keys[event.key];
    // An arrow moves the picture only where there is something to move to; else the page scrolls.
    if (!act || (event.key.startsWith("Arrow") && this.zoom === 1)) return;
    event.preventDefault();
    act();
  }
}

export const ZOOM_STEP = STEP;
