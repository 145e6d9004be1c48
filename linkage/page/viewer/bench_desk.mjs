/** All that goes between the page and its server, and the state that comes of it. */

/** @import { Data, Glimpse } from "./types.js" */
/** @import { Bench, Changed, Edit, Found, Work } from "./bench_types.js" */
/** @import { Answered } from "./bench_deeds.js" */
/** @import { Going } from "./bench_pieces.mjs" */
/** @import { Link } from "./bench_link.mjs" */
import { deedsOf } from "./bench_doing.mjs";
import { Hand } from "./bench_hand.mjs";
import { Refusal } from "./bench_link.mjs";
import {
  answered, sent, stageHeld, told, unanswered, withBench, withFound,
} from "./bench_state.mjs";

const LOST = "There is no answer from tightspot. Is it still running? What you have changed so far "
           + "is kept in its folder.";
const AGAIN = 1500; // after no answer it is asked again [ms]

export class Desk {
  /** @param {Link} link @param {Work} work
   * @param {(now: Work, last: Work) => void} show */
  constructor(link, work, show) {
    this.link = link;
    this.work = work;
    this.tell = show;
    /** The engine before and after, while they are looked at. @type {Data | null} */
    this.both = null;
    /** The one number that was changed since a revision: its window still holds. */
    this.alone = { id: "", since: -1 };
    this.hand = new Hand(this);
    /** Draws a glimpse. @type {(seen: Glimpse) => void} */
    this.glimpsed = () => {};
    /** Where the reverser stands in the picture; null for as on the sheet.
     * @type {() => string | number | null} */
    this.place = () => null;
    this.deeds = deedsOf(this);
    this.watching = new AbortController();
  }

  /** @param {Work} next */
  go(next) {
    const last = this.work;
    this.work = next;
    this.tell(next, last);
  }

  start() {
    void this.watch();
    addEventListener("focus", () => void this.refresh());
  }

  /** @param {Data | null} both */
  compared(both) {
    this.both = both;
    this.go({ ...this.work });
  }

  /** Ask for what is found out, for as long as the page is there. */
  async watch() {
    for (;;) {
      const { bench } = this.work;
      const have = stageHeld(this.work);
      const done = have === "whole" || have === "failed";
      if (done || this.work.sending || this.work.second !== null) {
        await this.changed();
        continue;
      }
      try {
        const query = `revision=${bench.revision}${have ? `&have=${have}` : ""}`;
        const found = /** @type {Found | null} */ (
          await this.link.get(`/found?${query}`, this.watching.signal));
        if (found) this.go(withFound(this.work, found));
      } catch (error) {
        await this.afterRefusal(error, bench.revision);
      }
    }
  }

  /** Wait for another sheet to be asked about. @returns {Promise<void>} */
  changed() {
    return new Promise((resolve) => {
      this.watching.signal.addEventListener("abort", () => resolve(), { once: true });
    });
  }

  /** Let go of what is asked about a sheet that is no longer the newest. */
  anew() {
    this.watching.abort();
    this.watching = new AbortController();
  }

  /** @param {unknown} error @param {number} revision that was asked about */
  async afterRefusal(error, revision) {
    if (revision !== this.work.bench.revision || this.work.sending) return; // it was let go of
    if (error instanceof Refusal && error.second) {
      this.go({ ...this.work, second: error.message });
      return;
    }
    if (error instanceof Refusal && error.status === 0) this.go({ ...this.work, lost: LOST });
    await new Promise((resolve) => { setTimeout(resolve, AGAIN); });
    if (!(await this.refresh())) return;
    if (this.work.lost !== null) this.go({ ...this.work, lost: null });
  }

  /** Take the sheet from the server; return whether it answered. */
  async refresh() {
    try {
      const bench = /** @type {Bench} */ (await this.link.get("/bench"));
      this.take(bench);
      return true;
    } catch (error) {
      if (error instanceof Refusal && error.second) {
        this.go({ ...this.work, second: error.message });
      }
      return false;
    }
  }

  /** @param {Bench} bench */
  take(bench) {
    const other = bench.revision !== this.work.bench.revision;
    const taken = this.work.second !== null;
    if (other) {
      this.both = null;
      this.alone = { id: "", since: -1 };
    }
    const safe = other ? null : this.work.safe;
    this.go(withBench({ ...this.work, second: null, safe }, bench));
    if (other || taken) this.anew();
  }

  /** Send the edits that wait, one lot at a time. */
  async send() {
    const { edits, work } = sent(this.work);
    if (!edits.length) return;
    this.both = null;
    const { safe } = work;
    this.go({ ...work, safe: edits.some(({ id }) => id !== safe?.id) ? null : safe });
    this.anew(); // nobody waits any more for what is found out of the sheet before
    const revision = work.bench.revision;
    try {
      const { grip = "", drawn = false } = edits.length === 1 ? edits[0] : {};
      const changed = /** @type {Changed} */ (
        await this.link.post("/change", { revision, edits, grip, drawn }));
      this.go(answered(this.work, changed));
      this.anew();
      if (edits.some(({ id }) => id !== this.alone.id)) {
        this.alone = { id: edits.length === 1 ? edits[0].id : "", since: revision };
      }
    } catch (error) {
      await this.unsent(error, edits);
      return;
    }
    await this.send();
  }

  /** @param {unknown} error @param {Edit[]} edits */
  async unsent(error, edits) {
    if (error instanceof Refusal && error.stale && await this.refreshed()) {
      this.go({ ...this.work, sending: false, waiting: [...edits, ...this.work.waiting] });
      await this.send();
      return;
    }
    const why = error instanceof Refusal && error.status !== 0 ? error.message : LOST;
    this.go(unanswered(this.work, why));
    this.anew();
  }

  async refreshed() {
    const before = this.work.bench.revision;
    return await this.refresh() && this.work.bench.revision !== before;
  }

  /** Do what changes the sheet; the words of what is wrong, empty for nothing.
   * @param {string} path @param {object} body @returns {Promise<string[]>} */
  async act(path, body) {
    try {
      const answer = /** @type {Bench | Changed} */ (await this.link.post(path, body));
      const { bench, problems } = "bench" in answer ? answer : { bench: answer, problems: [] };
      this.take(bench);
      if (problems.length) this.go({ ...this.work, problems });
      return problems.map((one) => told(one));
    } catch (error) {
      if (error instanceof Refusal && error.second) {
        this.go({ ...this.work, second: error.message });
        return [error.message];
      }
      const says = error instanceof Refusal && error.status ? error.message : LOST;
      if (error instanceof Refusal && error.stale) await this.refresh();
      this.go({ ...this.work, problems: [{ id: null, says }] });
      return [says];
    }
  }

  /** @param {string} path @param {string} what @param {Record<string, string>} given
   * @param {Going} going @returns {Promise<Answered | null>} */
  async question(path, what, given, going) {
    let stopped = false;
    const { revision } = this.work.bench;
    try {
      const { job } = /** @type {{ job: number }} */ (
        await this.link.post(path, { ...given, what, revision }));
      going.begin(() => {
        stopped = true;
        void this.link.post(`/job/${job}/stop`, {}).catch(() => {});
      });
      const said = await this.link.follow(job, (news) => going.show(news));
      going.end();
      if (stopped) return null;
      const stale = said.stale === true || this.work.bench.revision !== revision;
      const problem = said.problem ? { problem: said.problem } : {};
      return { job, stale, answer: said.answer, ...problem };
    } catch (error) {
      going.end();
      const says = error instanceof Refusal && error.status ? error.message : LOST;
      const stale = this.work.bench.revision !== revision;
      return stopped ? null : { job: -1, stale, answer: null, problem: says };
    }
  }
}
