/**
 * The document that linkage/page/data.py hands to the viewer, and what the viewer makes of it.
 *
 * Lengths in mm; angles along the turn in degrees of the right-hand crank, 0 straight ahead, growing
 * in forward running. A stop is one of the positions that were computed, by its number in the turn.
 * A part is known by its name in the mechanism; a body is what is drawn of it.
 */

export type Point = [x: number, y: number];
export type Span = [low: number, high: number];
/** A place to ring, in the frame's axes; null where it does not say how far out. */
export type Ring = [x: number, y: number, out: number | null];

export interface Data {
  /** One, or the engine before and after. */
  sheets: Sheet[];
  /** What holds every sheet in every position; `out` is empty where nothing has an outline. */
  window: Window;
  /** Lists of bodies, nearest the frames first, that sides and spots refer to by number. */
  outlines: Body[][];
  parts: PartWords[];
  /** Stands in the 16-bit numbers for a part without a position. */
  noPlace: number;
  words: Words;
  cautions: string[];
}

export interface Window { x: Span; y: Span; out: Span | [] }

export interface Words {
  shown: string;
  locked: string;
  nothing: string;
  paths: string;
  noOutlines: string;
  wheelsets: string;
}

/** `says`: the name in both countries; `does`: what the part is for. */
export interface PartWords { name: string; says: string; does: string }

export interface Sheet {
  title: string;
  verdict: string;
  /** The right-hand crank at each stop [degrees], rising. */
  crank: number[];
  crankWord: string;
  sides: Record<string, Side>;
  /** The sides with the reverser elsewhere, where some of the spots are worst. */
  places: Record<string, Side>[];
  /** Where the reverser is at each of them: a name, or an angle of its arm [rad]. */
  set: (string | number)[];
  /** Worst first. */
  spots: Spot[];
}

export interface Side {
  /** From where it is seen, in words. */
  seen: string;
  /** Whether x runs to the left: the left side, seen from outside. */
  mirrored: boolean;
  /** By how much its crank is behind the right-hand one [degrees]. */
  behind: number;
  /** The parts that move, in the order of their positions. */
  parts: string[];
  poses: Poses;
  outlines: number;
  joints: Joint[];
  /** `axle` in the frame's axes, `pin` in the crank's. */
  crank: { part: string; axle: Point; pin: Point };
  /** The hours that its crank pin comes to, to the nearest half, and which of them at each stop. */
  clocks: string[];
  clock: number[];
  curve: Curve | null;
}

/** Base64 of 16-bit numbers, little end first: parts by stops by (x, y, angle), in steps of `mm`
 * and `rad`. */
export interface Poses { mm: number; rad: number; numbers: string }

export interface Body {
  part: string;
  name: string;
  fixed: boolean;
  /** A part without an outline, drawn as lines between its joints. */
  line?: boolean;
  /** Path in the part's own axes. */
  side: string;
  plan: PlanPiece[];
  /** Where a name may point, in the part's own axes. */
  at: Point;
}

export type PlanPiece = [corners: Point[], outs: number[], radius: number, halfThickness: number];

export interface Joint {
  part: string;
  at: Point;
  /** Something that slides. */
  square: boolean;
  /** A pin on something fixed. */
  ground: boolean;
  /** The centre line of a slot, as a path in the axes of the part `on`. */
  slot?: string;
  on?: string;
}

export interface Spot {
  /** The whole sentence. */
  says: string;
  where: string;
  /** One word for the dial. */
  word: string;
  /** Whether it hinders the turn; else it is a fault, and no tight spot. */
  hinders: boolean;
  sides: string[];
  parts: string[];
  begin: number;
  end: number;
  /** The stop to jump to. */
  stop: number;
  /** The first stop within it. */
  first: number;
  /** For that and each stop after it: which of `texts` holds there, and places to ring by side. */
  here: [text: number, rings: Record<string, Ring[]>][];
  texts: string[];
  /** Whether metal overlaps. */
  overlap: boolean;
  /** Bodies that lie elsewhere for it, by side: numbers of `outlines`. */
  outlines: Record<string, number>;
  /** Which of the sheet's `places` it is at; null for the sides as they are. */
  place: number | null;
  curve: Curve | null;
}

export interface Curve {
  title: string;
  side: string;
  /** Right-hand crank [degrees] and value; null where there is none. */
  points: [degrees: number, value: number | null][];
  levels: [value: number, words: string][];
  /** What is to be in sight. */
  low: number;
  high: number;
}

// ---- what the viewer makes of it ----

/** Where a part is and how it is turned. */
export interface Pose { x: number; y: number; cos: number; sin: number }

/** A part's position at a stop; null where there is none. */
export type PoseOf = (part: string, stop: number) => Pose | null;

/** The document with its positions read: a sheet's, by side. */
export interface Model {
  data: Data;
  /** By sheet and side; then for each of the sheet's `places`. */
  poses: Record<string, PoseOf>[];
  places: Record<string, PoseOf>[][];
}

export type Way = 1 | -1;

/** What the viewer shows. */
export interface State {
  sheet: number;
  /** A side's name, or "both". */
  shown: string;
  index: number;
  /** The way the crank was turned last. */
  way: Way;
  /** The current spot, or -1. */
  spot: number;
  zoom: boolean;
  /** The name of the body that was asked for. */
  part: string | null;
  playing: Way | 0;
  /** One turn takes so long [s]. */
  speed: number;
}

/** How a picture lies on paper: pixels a mm, signed, and the place in its middle. */
export interface Frame {
  plan: boolean;
  width: number;
  height: number;
  sx: number;
  sy: number;
  centre: Point;
  /** How many times larger the plan is across than along. */
  times: number;
  zoomed: boolean;
}

/** What a person can do to the viewer. */
export interface Actions {
  turnTo(degrees: number): void;
  slide(stop: number): void;
  step(by: Way): void;
  jump(spot: number, sheet: number): void;
  jumpBy(step: Way): void;
  play(way: Way): void;
  speed(seconds: number): void;
  zoom(): void;
  pickSheet(sheet: number): void;
  pickSide(name: string): void;
  pickPart(name: string | null): void;
}

/** A side as it is to be drawn. */
/** How sides turn with one number tried out; or why they do not. At even stops all round. */
export interface Glimpse {
  sides?: Record<string, Pick<Side, "parts" | "poses" | "joints" | "crank"> & { bodies: Body[] }>;
  stops: number;
  noPlace: number;
  problem?: string;
}

/** A side of a glimpse, to be drawn at the stops that the viewer has. */
export interface Glanced extends Pick<Side, "joints" | "crank"> { poseOf: PoseOf; bodies: Body[] }

export interface View {
  name: string;
  side: Side;
  poseOf: PoseOf;
  bodies: Body[];
}

/** What is picked out in a picture: parts drawn heavy, a body by name, places ringed. */
export interface Marks {
  heavy: string[];
  chosen: string | null;
  rings: Ring[];
  /** Whether metal overlaps at the first ring. */
  overlap: boolean;
}

/** What the page round the viewer has to say to it. */
export interface Surroundings {
  /** How tall the screen is to be taken to be [px], where so much stands beside the pictures. */
  tall(beside: number): number;
  /** Is told which body was picked. */
  picked(body: string): void;
}
