/** What linkage/bench hands to the page to work at, and what the page makes of it. */

import type { Data } from "./types.js";

export interface Bench {
  /** Grows with each change, one taken back included. */
  revision: number;
  /** The file's name; null for none yet. */
  file: string | null;
  saved: boolean;
  /** What would be taken back or done again, in words. */
  undo: string | null;
  redo: string | null;
  /** Whether the file was changed by somebody else. */
  elsewhere: boolean;
  title: string;
  arrangement: string;
  arrangementSays: string;
  /** Whether the letters and what to begin with are still to come. */
  brief: boolean;
  unit: "mm" | "in";
  /** As the sheet names them: right and left, or only. */
  sides: string[];
  groups: Group[];
  /** What may be put on the sheet besides, and what of that is there. */
  additions: Additions;
  words: Words[];
  snapshots: { name: string }[];
  felt: Felt[];
  removable: Choice[];
  reverser: string[];
  choices: {
    arrangements: Choice[]; scales: Choice[]; wheels: string[]; sheets: string[];
  };
  cautions: string[];
}

export interface Additions {
  more: Addition[];
  there: { id: string; says: string }[];
  bends: Choice[];
  ways: Choice[];
}
/** `sided`: whether one side may have it alone. `damage`: whether it is bent or out of true. */
export interface Addition {
  key: string; part: string; says: string; hint: string; bend: boolean; sided: boolean;
  damage: boolean;
}
/** Something that the report says; `lines`: several, one below the other. */
export interface Words { key: string; says: string; typed: string; lines: boolean }
export interface Choice { key: string; says: string }
/** `offered`: whether another of it may be bought. */
export interface Group { part: string; says: string; numbers: Num[]; offered: boolean }

export type Origin = "measured" | "guessed" | "assumed" | "to be" | "word";

export interface Num {
  /** Stands for the key and its side, opaque here. */
  id: string;
  side: "right" | "left" | "both" | "only";
  /** What stands for it, to give one side its own. */
  own: Record<string, string> | null;
  says: string;
  hint: string;
  /** As on the measuring form. */
  letter: string | null;
  typed: string;
  shown: string;
  /** What a step starts from, in the sheet's unit or degrees; null for what is no number. */
  value: number | null;
  /** Whether a drag in the plan changes it: 1 where towards the frames makes it larger. */
  across: 1 | -1 | null;
  origin: Origin;
  error: string | null;
  kind: "length" | "angle" | "count" | "choice" | "text";
  choices?: string[];
  /** Names of drawn bodies. */
  bodies: string[];
  /** Otherwise than in the file. */
  changed: boolean;
  /** What is odd about it. */
  doubt: string | null;
}

/** A line of what was felt, as it stands on the sheet. */
export interface Felt {
  number?: number;
  what: string;
  side?: string;
  at?: string | number;
  from?: string | number;
  to?: string | number;
  with_off?: string | string[];
  [key: string]: unknown;
}

export type Stage = "motion" | "looked" | "proven" | "sure" | "whole" | "failed";

export interface Found {
  revision: number;
  stage: Stage;
  data?: Data;
  verdict?: string;
  free?: boolean;
  /** HTML. */
  says?: string;
  sure?: string;
  measureNext?: { id: string; says: string }[];
  took: { stage: string; ms: number; recomputed: string[]; kept: number }[];
  problem?: string;
}

/** `about`: the number that it is about, in words. */
export interface Problem { id: string | null; about?: string; says: string; question?: boolean }
export interface Changed { bench: Bench; problems: Problem[] }
/** `grip`: whose hand it is by; all that one hand does is one step back. */
export interface Edit {
  id: string;
  typed: string | null;
  sure?: boolean;
  grip?: string;
  /** Whether a glimpse of it was asked for: what comes next is a verdict. */
  drawn?: boolean;
}

export interface First { page: string; second: string | null; bench: Bench }

/** How far a question is. */
export interface Job {
  done: boolean;
  /** Whether it was let go of because the sheet changed. */
  stale?: boolean;
  progress: [done: number, of: number, says: string] | null;
  version: number;
  answer?: unknown;
  problem?: string;
}

export interface WindowAnswer {
  id: string;
  now: number;
  low: number;
  high: number;
  unit: string;
  windows: { low: number; high: number; lowTyped: string; highTyped: string;
             lowSays: string; highSays: string }[];
  here: boolean;
  wouldDo: string | null;
  says: string;
}

export interface CuresAnswer {
  spots: { says: string; cures: { id: string | null; says: string }[] }[];
}

// ---- what the page makes of it ----

export type Panel = "numbers" | "felt" | "cures" | "part" | "kept" | "leave";

/** What the page to work at shows. */
export interface Work {
  bench: Bench;
  /** What was found out last; of an older revision while the newest is worked out. */
  found: Found | null;
  /** Edits that are not sent yet, the last of each number. */
  waiting: Edit[];
  /** Whether a change is on its way. */
  sending: boolean;
  /** A hand is on a number, which the sheet does not have yet; what hinders there. */
  hand: { id: string; typed: string; value: number; problem: string | null } | null;
  /** How far the chosen number, which lies across, may go; in the unit of the sheet. */
  safe: Safe | null;
  /** The number chosen. */
  chosen: string | null;
  /** The size of a step, as one of `stepsOf`. */
  step: number;
  panel: Panel;
  problems: Problem[];
  /** What hinders: no answer from the server, another page at work. */
  lost: string | null;
  second: string | null;
}

export interface Safe {
  id: string; low: number; high: number; lowTyped: string; highTyped: string;
}

/** How sure the verdict is, in the page's words. */
export interface Verdict {
  state: "working" | "drawn" | "looked" | "proven" | "failed";
  badge: string;
  says: string;
  free: boolean | null;
}
