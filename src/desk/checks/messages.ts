/** What the worker that measures is asked, and what it answers. */
import type { Request, Result } from '../../check/jobs.ts';
import type { HouseFound } from '../../check/ready/house.ts';
import type { Box } from '../../line/picture.ts';
import type { HouseRules } from '../../note/entry.ts';

/** `x` and `y` in px of the drawing. */
export interface PaintQuestion {
  readonly kind: 'paint';
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

export type PaintAnswer = { readonly paint: Paint } | { readonly refused: string };

/** Whether a drawing keeps the rules of the house. */
export interface HouseQuestion {
  readonly kind: 'house';
  readonly sha256: string;
  readonly rules: HouseRules;
}

/** `sweep`: drop what was measured of images that are gone. */
export type ChecksAsk = Request<string> | PaintQuestion | HouseQuestion | { readonly kind: 'sweep' };

export type ChecksAnswer = Result | PaintAnswer | { readonly house: HouseFound } | undefined;
