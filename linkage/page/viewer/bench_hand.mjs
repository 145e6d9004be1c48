/** A hand on a number: the drawing follows it at once, the sheet when it rests or lets go. */

/** @import { Glimpse } from "./types.js" */
/** @import { Desk } from "./bench_desk.mjs" */
import { edited, handOn } from "./bench_state.mjs";

const RESTS = 200; // a hand that has not moved for so long rests [ms]

/** @typedef {{ id: string, typed: string, value: number }} Wanted `value`: in the sheet's unit */

export class Hand {
  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    /** Names the hand, for all that it does is one step back; empty where there is none. */
    this.grip = "";
    this.count = 0;
    /** Where it is and the sheet is not yet. @type {Wanted | null} */
    this.wanted = null;
    this.asking = false;
    this.timer = 0;
  }

  /** @param {Wanted} wanted */
  move(wanted) {
    if (!this.grip) {
      this.count += 1;
      this.grip = `${this.desk.link.page}-${this.count}`;
    }
    if (this.wanted?.id === wanted.id && this.wanted.typed === wanted.typed) return;
    this.wanted = wanted;
    this.desk.go(handOn(this.desk.work, { id: wanted.id, problem: null }));
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.rest(), RESTS);
    void this.look();
  }

  /** Have it drawn, one place after another, those left out that it has gone on from. */
  async look() {
    if (this.asking) return;
    this.asking = true;
    /** @type {Wanted | null} */
    let seen = null;
    while (this.wanted && this.wanted !== seen) {
      seen = this.wanted;
      const { id, value } = seen;
      const said = await /** @type {Promise<Glimpse | null>} */ (
        this.desk.link.post("/glimpse", { id, value })).catch(() => null);
      if (said?.sides && this.desk.work.hand) this.desk.glimpsed(said);
      if (this.wanted) {
        this.desk.go(handOn(this.desk.work, { id, problem: said?.problem ?? null }));
      }
    }
    this.asking = false;
  }

  /** What it has come to goes on the sheet. */
  rest() {
    clearTimeout(this.timer);
    if (!this.wanted) return;
    const { id, typed } = this.wanted;
    this.wanted = null;
    this.desk.go(edited(handOn(this.desk.work, null), { id, typed, grip: this.grip }));
    void this.desk.send();
  }

  letGo() {
    this.rest();
    if (!this.grip) return;
    this.grip = "";
    this.desk.go({ ...this.desk.work });
  }
}
