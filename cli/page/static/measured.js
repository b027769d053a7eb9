// One picture or clip that is measured, and measured again whenever something about it is told anew.

import { make } from "./dom.js";
import { beginJob, lookAtJob } from "./server.js";
import { w } from "./words.js";
import { goesOn, OVERTAKEN, work } from "./working.js";

const element = (id) => document.getElementById(id);

export class Measured {
  #asked = "";

  /**
   * `kind` is the job's and names what is remembered of it; `usual` is how many seconds it takes where nothing is
   * remembered. `order` gives what the job is told: {media, given}; `show` shows the latest reading; `told` hears how the job
   * stands.
   */
  constructor(kind, { usual, order, show, told = () => {} }) {
    Object.assign(this, { kind, usual, order, show, told });
    this.id = element("measuring").dataset.id;
    this.readings = JSON.parse(element("readings").textContent);
  }

  get latest() {
    return this.readings.at(-1);
  }

  get before() {
    return this.readings.at(-2);
  }

  /** How many seconds it took last time. */
  get usually() {
    return this.latest?.seconds ?? Number(localStorage.getItem(`${this.kind}-seconds`) ?? this.usual);
  }

  /** Measure with what is known now, in place of what is at work; or follow the job `running` that was begun before. */
  async measure(running = "") {
    const order = this.order();
    const asked = JSON.stringify(order);
    const place = element("working");
    // What is being measured already is not begun anew, by a second tap, say.
    if (asked === this.#asked && goesOn(place)) return;
    this.#asked = asked;
    const begin = () => (running ? lookAtJob(running) : beginJob(this.kind, order.media, { given: order.given }));
    const outcome = await work(place, begin, { usually: this.usually, told: this.told });
    if (outcome === OVERTAKEN) return;
    if (outcome) {
      // What ended while the screen was loaded may be among its readings already.
      if (outcome.number !== this.latest?.number) this.readings.push(outcome);
      localStorage.setItem(`${this.kind}-seconds`, String(outcome.seconds));
      this.show();
    } else if (!this.latest) place.append(this.#another());
  }

  /** Go on with what was begun before the screen was loaded, or measure for the first time. */
  async begin() {
    const { job } = element("measuring").dataset;
    if (job || !this.latest) await this.measure(job);
  }

  #another() {
    const screen = location.pathname.slice(0, location.pathname.lastIndexOf("/"));
    return make("a", { class: "button quiet", href: screen }, w("job.another"));
  }
}
