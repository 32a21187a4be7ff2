/**
 * The shot on paper: what every room speaks about. Plain data that survives JSON.
 * `shot.json` (see `shot-json.ts`) is the file form; edits arrive as entries (room `note`).
 */

/** Fields of a `shot.json` that this version does not know: kept, and written out again. */
export type Extra = Readonly<Record<string, unknown>>;

/** A drawing's part in the animation. Marked circled / underlined / plain in traditional notation. */
export type Role = 'key' | 'breakdown' | 'inbetween';

/** An image kept by its content. The same pixels in two files of different bytes are two images. */
export interface ImageRef {
  /** Lower-case hex SHA-256 of the file's bytes. */
  readonly sha256: string;
  readonly width: number;
  readonly height: number;
  readonly mediaType: string;
  readonly byteLength: number;
}

/** Where an in-between or breakdown lies: `fraction` of the way from one drawing to another, 0 < f < 1. */
export interface Chart {
  readonly from: string;
  readonly to: string;
  readonly fraction: number;
  /** What lies elsewhere than the rest; none is told twice (`chart-schema.ts`). */
  readonly parts?: readonly ChartPart[];
}

/** A part of the drawing with a fraction of its own: a sleeve on the third while the body lies on the half. */
export interface ChartPart {
  readonly place: ChartPlace;
  /** What it is, as it is written beside the chart: *sleeve*. */
  readonly words: string;
  /** 0 < f < 1, between the drawings that the chart names. */
  readonly fraction: number;
}

/** Where a part lies on its drawing, image px: a box or an outline, one of them. */
export interface ChartPlace {
  readonly box?: readonly [x: number, y: number, width: number, height: number];
  /** At least three points, closed by going back to the first. */
  readonly outline?: readonly (readonly [x: number, y: number])[];
  /** Size of the image that it was drawn on, so that it keeps its place on one of another size; absent: the drawing's own. */
  readonly sizePx?: readonly [width: number, height: number];
}

/** One clean-up of a drawing. Numbers start at 1; the newest take is the clean drawing. */
export interface Take {
  readonly number: number;
  readonly image: ImageRef;
}

export interface Drawing {
  /** A label, not an integer: `12`, `12A`. Unique within its level. */
  readonly label: string;
  /** Absent until someone says it. */
  readonly role?: Role;
  readonly chart?: Chart;
  /**
   * It runs on after the pose (follow-through: hair, a coat's tail). Worked after the poses that it follows, and not
   * held to a chart of the body. Beside the role, which says something else.
   */
  readonly runsOn?: boolean;
  readonly rough?: ImageRef;
  /** Ascending by number. Empty while the drawing has no clean-up. */
  readonly takes: readonly Take[];
  readonly extra?: Extra;
}

/** A drawing held on screen for `length` frames from `frame` (the first frame of a shot is 1). */
export interface Exposure {
  readonly drawing: string;
  readonly frame: number;
  readonly length: number;
}

export interface Level {
  /** Empty for the single level of a shot without levels. */
  readonly name: string;
  /** In label order (see `labels.ts`). */
  readonly drawings: readonly Drawing[];
  /** Ascending by frame, not overlapping. */
  readonly exposures: readonly Exposure[];
  /** Set when the exposures were guessed (in order, on twos) and nobody has confirmed them. */
  readonly exposuresGuessed?: boolean;
  readonly extra?: Extra;
}

export interface Shot {
  /** Made once, when the shot is first taken in or first seen by a server; never derived from the title. */
  readonly id: string;
  readonly title: string;
  /** Frames a second: 24, 25, 30, 12, or a broadcast rate such as 30000/1001. */
  readonly fps: number;
  readonly fpsGuessed?: boolean;
  /** Largest width and height among the drawings, px. Drawings of another size are centred on it. */
  readonly sizePx: readonly [width: number, height: number];
  /** Drawn in this order: the first level lies lowest. */
  readonly levels: readonly Level[];
  readonly extra?: Extra;
}
