// A magnifier: what lies under the finger, larger, in the corner that the finger leaves free.

import { make } from "./dom.js";

const SIZE_PX = 150;
const LARGER = 4;

export class Loupe {
  constructor(stage) {
    this.stage = stage;
    this.canvas = make("canvas", { class: "loupe", width: SIZE_PX * 2, height: SIZE_PX * 2, "aria-hidden": "true" });
    this.canvas.hidden = true;
    stage.element.append(this.canvas);
  }

  show([x, y], [left, top]) {
    const { image, size, scale, width } = this.stage;
    const wide = image.naturalWidth || image.videoWidth;
    if (!wide) return;
    const side = this.canvas.width;
    const perPixel = wide / size[0];
    // So many of the preview's pixels are shown across.
    const across = ((SIZE_PX / (scale * LARGER)) * perPixel) || 1;
    const context = this.canvas.getContext("2d");
    context.fillStyle = "#000";
    context.fillRect(0, 0, side, side);
    const from = [(x + 0.5) * perPixel - across / 2, (y + 0.5) * perPixel - across / 2];
    context.imageSmoothingEnabled = across > 40;
    context.drawImage(image, from[0], from[1], across, across, 0, 0, side, side);
    for (const [colour, breadth] of [["#000", 8], ["#fff", 4]]) {
      context.strokeStyle = colour;
      context.lineWidth = breadth;
      context.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        context.moveTo(side / 2 + dx * 14, side / 2 + dy * 14);
        context.lineTo(side / 2 + dx * 70, side / 2 + dy * 70);
      }
      context.stroke();
    }
    const right = left < width / 2 && top < SIZE_PX + 60;
    this.canvas.classList.toggle("right", right);
    this.canvas.hidden = false;
  }

  hide() {
    this.canvas.hidden = true;
  }
}
