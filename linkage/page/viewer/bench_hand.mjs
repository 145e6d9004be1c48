/** A hand on a number: the drawing follows it at once, the sheet when it rests or lets go. */

/** @import { Glimpse } from "./types.js" */
/** @import { Desk } from "./bench_desk.mjs" */
import { edited, handOn } from "./bench_state.mjs";

const RESTS = 200; // a hand that has not moved for so long rests [ms]

/** `value`: in the sheet's unit.
 * @typedef {{ id: string, typed: string, value: number }} Wanted
 * `since`: the revision that it is another than.
 * @typedef {Wanted & { since: number }} Tried */

/** @param {Wanted} wanted */
const at = ({ id, typed, value }) => ({ id, typed, value });

export class Hand {
  /** @param {Desk} desk */
  constructor(desk) {
    this.desk = desk;
    /** Names the hand, for all that it does is one step back; empty where there is none. */
    this.grip = "";
    this.count = 0;
    /** Where it is and the sheet is not yet. @type {Tried | null} */
    this.wanted = null;
    /** What was put on the sheet last. @type {Tried | null} */
    this.next = null;
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
    this.wanted = { ...wanted, since: this.desk.work.bench.revision };
    this.next = null;
    this.desk.go(handOn(this.desk.work, { ...at(wanted), problem: null }));
    clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.rest(), RESTS);
    void this.look();
  }

  /** Have a number that is put on the sheet drawn before it is. @param {Wanted} wanted */
  show(wanted) {
    this.next = { ...wanted, since: this.desk.work.bench.revision };
    void this.look();
  }

  /** Have it drawn, one place after another, those left out that it has gone on from. */
  async look() {
    if (this.asking) return;
    this.asking = true;
    /** @type {Tried | null} */
    let seen = null;
    for (let now = this.newest(); now && now !== seen; now = this.newest()) {
      seen = now;
      const { id, value } = now;
      const place = this.desk.place();
      const said = await /** @type {Promise<Glimpse | null>} */ (
        this.desk.link.post("/glimpse", { id, value, place })).catch(() => null);
      if (said?.sides && this.newer(now)) this.desk.glimpsed(said);
      if (this.wanted) {
        const problem = said?.problem ?? null;
        this.desk.go(handOn(this.desk.work, { ...at(this.wanted), problem }));
      }
    }
    this.asking = false;
  }

  /** @returns {Tried | null} */
  newest() { return this.wanted ?? this.next; }

  /** Return whether what was asked for is newer than what can be drawn of the sheet.
   * @param {Tried} now */
  newer({ since }) {
    const { bench, found, hand, sending, waiting } = this.desk.work;
    if (hand !== null) return true;
    const drawn = found?.data && found.revision > since;
    return !drawn && (sending || waiting.length > 0 || bench.revision > since);
  }

  /** What it has come to goes on the sheet. */
  rest() {
    clearTimeout(this.timer);
    if (!this.wanted) return;
    const { id, typed } = this.wanted;
    [this.next, this.wanted] = [this.wanted, null]; // it may not be drawn yet
    this.desk.go(edited(handOn(this.desk.work, null), { id, typed, grip: this.grip, drawn: true }));
    void this.desk.send();
  }

  letGo() {
    this.rest();
    if (!this.grip) return;
    this.grip = "";
    this.desk.go({ ...this.desk.work });
  }
}
