// A clip in a video: loaded, and followed picture by picture.

/**
 * Load what was sent as a clip. Gives {poster, load}: its first picture alone, once that is there, and the clip. Where the
 * browser does not play the clip itself, its copy is loaded, which is there once the clip was measured; where that does
 * not play either, `failed` is told.
 */
export function filmed(video, measured, failed = () => {}) {
  const address = `/media/${measured.id}`;
  let copied = false;
  const poster = () => {
    if (!video.poster) video.poster = `${address}/preview`;
  };
  const load = () => {
    if (measured.latest) poster();
    if (!video.src) video.src = `${address}/playable`;
    else if (video.error && measured.latest && !copied) {
      copied = true;
      video.src = `${address}/playable?copy`;
    }
  };
  video.addEventListener("error", () => {
    if (!measured.latest) return;
    if (copied) failed();
    else load();
  });
  return { poster, load };
}

/** Call `step` with the moment in s, as the file has it, of every picture that is shown; not by the clock. */
export function followed(video, step) {
  const follow = (_now, picture) => {
    step(picture.mediaTime);
    video.requestVideoFrameCallback(follow);
  };
  if (video.requestVideoFrameCallback) video.requestVideoFrameCallback(follow);
  for (const event of ["timeupdate", "seeked"]) video.addEventListener(event, () => step(video.currentTime));
}
