/** The passing of time while the motion plays. */

/** @import { State } from "./types.js" */

export class Player {
  /** @param {(degrees: number) => void} carry what to do as the crank comes to an angle */
  constructor(carry) {
    this.carry = carry;
    this.request = 0;
  }

  /** Begin anew from where the crank stands, or stop.
   * @param {State} state @param {number} degrees */
  set({ playing, speed }, degrees) {
    cancelAnimationFrame(this.request);
    if (!playing) return;
    let began = NaN;
    const frame = (/** @type {number} */ now) => {
      if (Number.isNaN(began)) began = now;
      this.request = requestAnimationFrame(frame); // first, for `carry` may stop it
      this.carry(degrees + (playing * 360 * (now - began)) / (1000 * speed));
    };
    this.request = requestAnimationFrame(frame);
  }
}
