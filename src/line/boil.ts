import { withAlong } from './along.ts';
import { boxOf } from './box.ts';
import { targetOf } from './match-line.ts';
import { type Move, movePoint, STAY } from './move.ts';
import { type Patch, patchesOf } from './patches.ts';
import type { Box } from './picture.ts';
import type { Refused } from './refused.ts';
import type { LineSamples } from './samples.ts';
import { nearestOnLine, settlePatch } from './settle-patch.ts';
import { quantile } from './statistics.ts';

export interface Boil {
  /** Root mean square of how far the line lies beside its twin, px, once shift, turn and part motion are gone. */
  readonly linePx: number;
  readonly lineP95Px: number;
  /** Root mean square difference of the line's width, px. */
  readonly widthPx: number;
  /** How far the drawing as a whole moved from the other, px. */
  readonly movedPx: number;
  /** Where it boils most. */
  readonly worst: { readonly bbox: Box; readonly linePx: number };
  /** Place by place: sum of squares and count of what was found there, each sample once. */
  readonly patches: readonly { readonly bbox: Box; readonly sumSqPx2: number; readonly samples: number }[];
}

/** The same without the places that `leftOut` says; `undefined` where under half of the line is left. */
export function boilBeside(
  boil: Boil,
  leftOut: (bbox: Box) => boolean,
): { readonly linePx: number; readonly worst: Box } | undefined {
  const left = boil.patches.filter(({ bbox, samples }) => samples > 0 && !leftOut(bbox));
  const count = (patches: Boil['patches']) => patches.reduce((sum, { samples }) => sum + samples, 0);
  if (count(left) < count(boil.patches) / 2) return undefined;
  const mean = ({ sumSqPx2, samples }: Boil['patches'][number]) => sumSqPx2 / samples;
  const worst = left.reduce((most, patch) => (mean(patch) > mean(most) ? patch : most));
  const sumSqPx2 = left.reduce((sum, patch) => sum + patch.sumSqPx2, 0);
  return { linePx: Math.sqrt(sumSqPx2 / count(left)), worst: worst.bbox };
}

/** Two drawings are near-equal when this share of the line is found again close by. */
const NEAR_EQUAL = 0.85;
/** Motion over this share of the drawing's diagonal is acting, no hold. */
const STILL = 0.006;
/** This share of the drawing must hold still: an arm may act on a held body. */
const STILL_SHARE = 0.75;
/** Points on which a move is fitted, evenly out of the whole or of a part: more change nothing that is said. */
const WHOLE_FIT = 900;
const PART_FIT = 240;
/** A part moves as one within this share of the drawing's diagonal; smaller would take boil for motion. */
const PART = 0.16;

/**
 * Boil from one drawing to its near-equal neighbour: part by part the rigid motion is removed (closest
 * points), and what is left across the line is boil. Refuses drawings that differ by more than small motion.
 */
export function measureBoil(
  from: LineSamples,
  to: LineSamples,
  paper: { readonly width: number; readonly height: number },
): Boil | Refused {
  if (from.x.length < 12 || to.x.length < 12) return { refused: 'one of the two drawings is blank' };
  const [, , width, height] = boxOf(from.x, from.y, paper);
  const diagonalPx = Math.max(60, Math.hypot(width, height));
  const line = withAlong(from);
  const target = targetOf(to, diagonalPx);
  const whole = patchesOf(from, 10 * diagonalPx, 1, WHOLE_FIT)[0]!;
  const settling = {
    widestPx: Math.max(6, 0.014 * diagonalPx),
    narrowestPx: Math.max(2, 0.003 * diagonalPx),
    rigidRounds: 8,
    affineRounds: 0,
  };
  const settle = ({ x, y, probes }: Patch, start: Move) =>
    settlePatch(line, { x, y, members: probes }, target, start, settling);
  const placed = settle(whole, STAY);
  const off = new Float32Array(from.x.length).fill(Number.NaN);
  const wider = new Float32Array(from.x.length).fill(Number.NaN);
  const reachPx = Math.max(6, 0.012 * diagonalPx);
  let worst: Boil['worst'] = { bbox: boxOf(from.x, from.y, paper), linePx: -1 };
  let found = 0;
  let asked = 0;
  const travelPx: number[] = [];
  const patches: { bbox: Box; sumSqPx2: number; samples: number }[] = [];
  for (const patch of patchesOf(from, PART * diagonalPx, 0.5, PART_FIT)) {
    const { move } = settle(patch, placed.move);
    const [px, py] = movePoint(move, patch.x, patch.y);
    travelPx.push(Math.hypot(px - patch.x, py - patch.y));
    let [sumSqPx2, samples] = [0, 0];
    for (const i of patch.members) {
      if (!Number.isNaN(off[i]!)) continue;
      asked++;
      const [x, y] = movePoint(move, from.x[i]!, from.y[i]!);
      const ux = move.xx * line.alongX[i]! + move.xy * line.alongY[i]!;
      const uy = move.yx * line.alongX[i]! + move.yy * line.alongY[i]!;
      const j = nearestOnLine(target, x, y, ux, uy, reachPx);
      if (j < 0) continue;
      found++;
      off[i] = -Math.sin(to.tangentRad[j]!) * (to.x[j]! - x) + Math.cos(to.tangentRad[j]!) * (to.y[j]! - y);
      sumSqPx2 += off[i] ** 2;
      samples++;
      wider[i] = to.widthPx[j]! - from.widthPx[i]!;
    }
    const local = rms(Array.from(patch.members, (i) => off[i]!));
    const bbox = boxOf(
      Array.from(patch.members, (i) => from.x[i]!),
      Array.from(patch.members, (i) => from.y[i]!),
      paper,
    );
    patches.push({ bbox, sumSqPx2, samples });
    if (local > worst.linePx) worst = { bbox, linePx: local };
  }
  if (found < NEAR_EQUAL * asked)
    return { refused: 'the two drawings differ too much for boil to be told from motion' };
  // A drawing that acts changes its lines, and no fit can tell that from boil.
  if (quantile(travelPx, STILL_SHARE) > Math.max(6, STILL * diagonalPx))
    return { refused: 'the drawing moves, so its line may change' };
  const [cx, cy] = movePoint(placed.move, whole.x, whole.y);
  return {
    linePx: rms(off),
    lineP95Px: quantile(off.map(Math.abs), 0.95),
    widthPx: rms(wider),
    movedPx: Math.hypot(cx - whole.x, cy - whole.y),
    worst,
    patches,
  };
}

function rms(values: ArrayLike<number>): number {
  let sum = 0;
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    if (Number.isNaN(values[i]!)) continue;
    sum += values[i]! ** 2;
    count++;
  }
  return count > 0 ? Math.sqrt(sum / count) : 0;
}
