// What the page says to the program, and what it hears.

import { w } from "./words.js";

/** Something that went wrong, told in a sentence for people. */
export class Trouble extends Error {}

/** No answer came at all. */
class Lost extends Trouble {}

/** Who follows a job asks again so often where no answer comes, and waits longer each time: phones lose their network. */
const TRIES = 5;
const PAUSE_MS = 800;

/** Ask for JSON; a body is sent as JSON. */
export async function ask(address, { method = "GET", body = undefined } = {}) {
  let response;
  try {
    response = await fetch(address, {
      method,
      headers: body === undefined ? {} : { "Content-Type": "application/json" },
      body: body === undefined ? undefined : JSON.stringify(body),
    });
  } catch {
    throw new Lost(w("job.lost"));
  }
  const told = response.status === 204 ? null : await response.json().catch(() => null);
  if (!response.ok) throw new Trouble(told?.sentence ?? w("job.lost"));
  return told;
}

/** Send a file; `sent` is told the share that has gone, and `signal` may stop it. Gives its id and kind. */
export function sendFile(file, sent = () => {}, signal = undefined) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", `/uploads?name=${encodeURIComponent(file.name)}`);
    request.responseType = "json";
    request.upload.addEventListener("progress", (event) => event.lengthComputable && sent(event.loaded / event.total));
    request.addEventListener("load", () => {
      if (request.status === 201) resolve(request.response);
      else reject(new Trouble(request.response?.sentence ?? w("uploads.not_sent")));
    });
    request.addEventListener("error", () => reject(new Trouble(w("uploads.not_sent"))));
    request.addEventListener("abort", () => reject(new Trouble(w("uploads.stopped"))));
    signal?.addEventListener("abort", () => request.abort());
    request.send(file);
  });
}

/** Begin a job: its kind, the media it is about ({role: id}), and what else the task wants. */
export function beginJob(kind, media, order = {}) {
  return ask("/jobs", { method: "POST", body: { ...order, kind, media } });
}

/** Ask how a job stands. */
export function lookAtJob(id) {
  return ask(`/jobs/${id}`);
}

async function askUntilAnswered(address) {
  for (let tried = 1; ; tried += 1) {
    try {
      return await ask(address);
    } catch (problem) {
      if (!(problem instanceof Lost) || tried === TRIES) throw problem;
      await new Promise((resolve) => setTimeout(resolve, tried * PAUSE_MS));
    }
  }
}

/** Follow a job to its end; `told` hears of every change. Gives how it stands at the end. */
export async function followJob(job, told = () => {}) {
  let now = job;
  told(now);
  while (now.state === "waiting" || now.state === "working") {
    now = await askUntilAnswered(`/jobs/${now.id}?after=${now.version}`);
    told(now);
  }
  return now;
}

/** A job from the moment at which it is wanted: it can be stopped before the program has given it an id. */
export class Wanted {
  stopped = false;
  #job = null;

  /** Begin it and follow it to its end, as `followJob` does. */
  async follow(begin, told) {
    this.#job = await begin();
    if (this.stopped) this.#stop();
    return followJob(this.#job, told);
  }

  stop() {
    this.stopped = true;
    if (this.#job) this.#stop();
  }

  #stop() {
    ask(`/jobs/${this.#job.id}/stop`, { method: "POST" }).catch(() => {});
  }
}
