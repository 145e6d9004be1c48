import type { Edit, Felt, Num, Panel, Safe } from "./bench_types.js";
import type { Going } from "./bench_pieces.mjs";

/** What a person can do to the sheet, and ask of it. */
export interface Deeds {
  edit(id: string, typed: string | null, sure?: boolean): void;
  /** Put a number on the sheet, and draw it so at once. `value`: in the sheet's unit. */
  set(id: string, typed: string, value: number): void;
  /** A hand on a number moves it: it is drawn at once, and on the sheet when the hand rests.
   * `value`: in the sheet's unit. */
  hold(id: string, typed: string, value: number): void;
  letGo(): void;
  /** Whether a hand is on a number: nothing may be drawn anew under it. */
  holds(): boolean;
  /** Say how far the chosen number may go, to be drawn. */
  mayGo(safe: Safe | null): void;
  /** Whether an edit of a number is not answered yet. */
  waits(id: string): boolean;
  /** The revision since which nothing but this number was changed: its window still holds. */
  basis(id: string): number;
  reset(id: string): void;
  /** Give a side its own number, at first the common one. */
  own(id: string, common: Num): void;
  choose(id: string | null): void;
  step(): number;
  stepOf(step: number): void;
  turnOver(panel: Panel): void;
  undo(): void;
  redo(): void;
  save(how: "save" | "mine" | "theirs" | "beside"): void;
  keepAs(name: string): void;
  backTo(name: string): void;
  compare(name: string, going: Going): Promise<string | null>;
  begin(asked: { arrangement: string; scale: string; unit: string; wheels?: string }): void;
  open(name: string): void;
  /** Put something more on the sheet; the words of what is wrong, empty for nothing. */
  add(asked: Record<string, string>): Promise<string[]>;
  addThing(asked: Record<string, string>): Promise<string[]>;
  /** Put words of the report on the sheet. */
  words(key: string, typed: string): void;
  felt(lines: Felt[] | (Felt | string)[]): Promise<string[]>;
  /** Ask; null where it was stopped or has become stale, else the answer. */
  ask(what: string, given: Record<string, string>, going: Going): Promise<Answered | null>;
  leave(what: string, given: Record<string, string>, going: Going): Promise<Answered | null>;
  file(name: string): void;
  tryCure(job: number, cure: string, going: Going): Promise<string | null>;
  takeOver(): void;
  again(): void;
}

/** `stale`: the sheet has changed since it was asked. */
export interface Answered { job: number; stale: boolean; answer: unknown; problem?: string }
export type { Edit };
