/** What the page asks of its own server, on this computer. */

/** @import { Job, Problem } from "./bench_types.js" */
import { told } from "./bench_state.mjs";

const HEARD = 30_000; // the server hears of the page so often [ms]

/** An answer that is none: what the server said, and the state it said it with. */
export class Refusal extends Error {
  /** @param {number} status 0 where nothing answered @param {Record<string, unknown>} body */
  constructor(status, body) {
    const problems = /** @type {Problem[]} */ (Array.isArray(body.problems) ? body.problems : []);
    const says = typeof body.says === "string" ? body.says : "";
    super(problems.length ? problems.map((one) => told(one)).join("; ") : says);
    this.status = status;
    this.stale = body.stale === true;
    this.second = body.second === true;
  }
}

export class Link {
  /** @param {string} token @param {string} page its name */
  constructor(token, page) {
    this.token = token;
    this.headers = { "X-Bench-Token": token, "X-Bench-Page": page };
    this.page = page;
  }

  /** @param {string} path @param {RequestInit} init @returns {Promise<Response>} */
  async call(path, init) {
    /** @type {Response} */
    let response;
    try {
      response = await fetch(path, init);
    } catch {
      throw new Refusal(0, {});
    }
    if (!response.ok) {
      const body = await response.json().catch(() => ({}));
      throw new Refusal(response.status, body ?? {});
    }
    return response;
  }

  /** Return an answer, null where there is none yet.
   * @template T @param {string} path @param {AbortSignal} [signal] @returns {Promise<T | null>} */
  async get(path, signal) {
    const response = await this.call(path, { headers: this.headers, signal });
    return response.status === 204 ? null : response.json();
  }

  /** @template T @param {string} path @param {object} body @returns {Promise<T>} */
  async post(path, body) {
    const headers = { ...this.headers, "Content-Type": "application/json" };
    const response = await this.call(path, { method: "POST", headers, body: JSON.stringify(body) });
    return response.status === 204 ? /** @type {T} */ ({}) : response.json();
  }

  /** Follow a question to its end. @param {number} job
   * @param {(job: Job) => void} tell is told each time there is news
   * @returns {Promise<Job>} */
  async follow(job, tell) {
    let have = -1;
    for (;;) {
      const said = /** @type {Job | null} */ (await this.get(`/job/${job}?have=${have}`));
      if (!said) continue;
      have = said.version;
      tell(said);
      if (said.done) return said;
    }
  }

  /** Get a file that was written, to be kept. @param {string} name */
  async file(name) {
    const response = await this.call(`/file/${encodeURIComponent(name)}`,
                                     { headers: this.headers });
    return response.blob();
  }

  /** Say that the page is there, for as long as it is: a server that hears of none ends. */
  stay() {
    setInterval(() => void this.post("/here", {}).catch(() => {}), HEARD);
  }

  /** Say that the page goes. */
  bye() {
    const body = new Blob([JSON.stringify({ page: this.page })], { type: "application/json" });
    navigator.sendBeacon(`/bye?token=${encodeURIComponent(this.token)}`, body);
  }
}
