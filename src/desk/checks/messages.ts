/** What the page and the worker that measures say to each other, besides the pool's jobs. */
import type { ToWorker } from '../../check/pool.ts';
import type { Box } from '../../line/picture.ts';

/** `x` and `y` in px of the drawing. */
export interface PaintQuestion {
  readonly id: number;
  readonly sha256: string;
  readonly x: number;
  readonly y: number;
  /** Widest gap that counts as one, px. */
  readonly gapPx: number;
}

/** A gap that paint runs through, px of the drawing. */
interface PaintGap {
  readonly between: readonly [readonly [number, number], readonly [number, number]];
  readonly widthPx: number;
}

/** Rows of painted pixels, three values each: row, first column, column after the last. */
export type PaintRuns = Int32Array<ArrayBuffer>;

export interface Paint {
  /** Everything that a fill covers. */
  readonly runs: PaintRuns;
  /** What it would cover were the gaps closed; the same where it holds. */
  readonly meant: PaintRuns;
  readonly meantBox: Box;
  readonly meantAreaPx2: number;
  readonly areaPx2: number;
  /** Stays inside the line. */
  readonly holds: boolean;
  readonly through: readonly PaintGap[];
}

export type PaintAnswer =
  | { readonly id: number; readonly paint: Paint }
  | { readonly id: number; readonly refused: string };

export type ToChecksWorker =
  | ToWorker<string>
  | { readonly paint: PaintQuestion }
  /** Drop what was measured of images that are gone. */
  | { readonly sweep: true };
