// What a clip is played by: play and pause, the place in it, the time, and how fast.

import { w } from "./words.js";

const element = (id) => document.getElementById(id);
const play = element("play");
const place = element("place");

/** Take the controls of the screen for a video. Gives {ready, at}: it may be played, and the moment in s it shows. */
export function transport(video) {
  video.addEventListener("loadedmetadata", () => {
    place.max = video.duration;
    play.disabled = place.disabled = false;
  });
  video.addEventListener("play", () => (play.textContent = w("watch.pause")));
  video.addEventListener("pause", () => (play.textContent = w("watch.play")));
  play.addEventListener("click", () => (video.paused ? video.play().catch(() => {}) : video.pause()));
  place.addEventListener("input", () => {
    video.pause();
    video.currentTime = Number(place.value);
  });
  element("speed").addEventListener("change", (event) => (video.playbackRate = Number(event.target.value)));

  return {
    // A phone that saves data loads nothing of a clip before it is to play.
    ready: () => (play.disabled = false),
    at: (stored) => {
      // How long the clip is, is known as soon as its beginning is there.
      if (!Number.isFinite(video.duration)) return;
      place.value = stored;
      const clock = w("watch.seconds", { at: stored.toFixed(1), all: video.duration.toFixed(1) });
      element("clock").textContent = clock;
      place.setAttribute("aria-valuetext", clock);
    },
  };
}
