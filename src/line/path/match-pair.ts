import { withAlong } from '../along.ts';
import { boxOf } from '../box.ts';
import { matchBetween, targetOf } from '../match-line.ts';
import type { Move } from '../move.ts';
import { patchesOf } from '../patches.ts';
import type { LineSamples } from '../samples.ts';
import { allSteps, type Steps } from '../steps.ts';
import { thin } from '../thin.ts';

/** Points of a drawing's line that are matched: as many as spacing matches. */
const MOST_POINTS = 1500;

/** Where each small piece of one drawing lies in another. */
export interface Field {
  /** Centre of each piece: x, y, … px. */
  readonly at: Float32Array;
  /** Its move: xx, xy, yx, yy, dx, dy, … */
  readonly moves: Float64Array;
  /** Its share of line that lies on line there and is found back from there, 0 … 1. */
  readonly sure: Float32Array;
  readonly diagonalPx: number;
}

/** Two drawings matched each from its own side, so that the one answer can be held against the other. */
export interface PairMatch {
  readonly forth: Field;
  readonly back: Field;
}

interface Paper {
  readonly width: number;
  readonly height: number;
}

/** Matches two drawings, forth and back. Blank ones have fields without pieces. */
export const matchPair = (...what: Parameters<typeof matchPairInSteps>): PairMatch =>
  allSteps(matchPairInSteps(...what));

/** The same, with a rest between the two. */
export function* matchPairInSteps(a: LineSamples, b: LineSamples, paper: Paper): Steps<PairMatch> {
  const forth = fieldOf(a, b, paper);
  yield;
  return { forth, back: fieldOf(b, a, paper) };
}

/**
 * As spacing matches an in-between to its two neighbours (`matchBetween`), with the drawing itself for one of the two:
 * it lies on itself, so the other is all that is asked, and nothing presses an extreme to lie between.
 */
function fieldOf(from: LineSamples, to: LineSamples, paper: Paper): Field {
  const [, , width, height] = boxOf(from.x, from.y, paper);
  const diagonalPx = Math.max(60, Math.hypot(width, height));
  const few = (samples: LineSamples) =>
    thin(samples, Math.max(1, Math.floor(samples.x.length / MOST_POINTS)));
  const line = withAlong(few(from));
  const patches =
    from.x.length < 12 || to.x.length < 12
      ? []
      : patchesOf(line, 0.075 * diagonalPx, 0.6, 28).filter(({ members }) => members.length >= 8);
  if (patches.length === 0) return { ...emptyField(0), diagonalPx };
  const self = targetOf(line, diagonalPx);
  const { b, back } = matchBetween(line, patches, self, targetOf(few(to), diagonalPx), diagonalPx);
  const field = { ...emptyField(patches.length), diagonalPx };
  for (const [k, { x, y }] of patches.entries()) {
    const { move, onLine } = b[k]!;
    field.at.set([x, y], 2 * k);
    field.moves.set([move.xx, move.xy, move.yx, move.yy, move.dx, move.dy], 6 * k);
    field.sure[k] = Math.min(onLine, back[k]!);
  }
  return field;
}

const emptyField = (count: number) => ({
  at: new Float32Array(2 * count),
  moves: new Float64Array(6 * count),
  sure: new Float32Array(count),
});

export function moveOf({ moves }: Field, k: number): Move {
  const [xx, xy, yx, yy, dx, dy] = moves.subarray(6 * k, 6 * k + 6);
  return { xx: xx!, xy: xy!, yx: yx!, yy: yy!, dx: dx!, dy: dy! };
}
