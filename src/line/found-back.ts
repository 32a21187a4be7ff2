import type { LineMap } from './line-map.ts';
import type { Move } from './move.ts';
import { movePoint } from './move.ts';
import type { Patch } from './patches.ts';
import type { LineSamples } from './samples.ts';
import { nearestOnLine } from './settle-patch.ts';

/** Points of the other drawing taken as one place. */
const BIN = 4;

/**
 * Forward and back compared: the share of each patch's line that, from where it was found in the other drawing, is
 * found back in its own place. Less than 1 where another place of the drawing was found on the same line and costs no
 * more (`costs`, one a patch): one line has one origin, so one of the two is wrong.
 */
export function foundBack(
  c: LineSamples,
  patches: readonly Patch[],
  to: LineMap,
  moves: readonly Move[],
  costs: readonly number[],
  diagonalPx: number,
): number[] {
  const owner = new Int32Array(c.x.length).fill(-1);
  const nearestSq = new Float64Array(c.x.length).fill(Infinity);
  for (const [k, patch] of patches.entries()) {
    for (const i of patch.members) {
      const distSq = (c.x[i]! - patch.x) ** 2 + (c.y[i]! - patch.y) ** 2;
      if (distSq < nearestSq[i]!) [owner[i], nearestSq[i]] = [k, distSq];
    }
  }
  const claims = new Map<number, number[]>();
  const foundAt = new Int32Array(c.x.length).fill(-1);
  for (let i = 0; i < c.x.length; i++) {
    const move = moves[owner[i]!];
    if (!move) continue;
    const [x, y] = movePoint(move, c.x[i]!, c.y[i]!);
    const [cos, sin] = [Math.cos(c.tangentRad[i]!), Math.sin(c.tangentRad[i]!)];
    const [ux, uy] = [move.xx * cos + move.xy * sin, move.yx * cos + move.yy * sin];
    const j = nearestOnLine(to, x, y, ux, uy, 0.012 * diagonalPx);
    if (j < 0) continue;
    const bin = Math.floor(j / BIN);
    foundAt[i] = j;
    const own = claims.get(bin);
    if (own) own.push(i);
    else claims.set(bin, [i]);
  }
  const { x: toX, y: toY, stepPx } = to.samples;
  // Points that follow one another may be of two lines.
  const isOnePlace = (p: number, q: number) =>
    Math.hypot(toX[p]! - toX[q]!, toY[p]! - toY[q]!) <= 2 * BIN * stepPx;
  const apartSq = (0.1 * diagonalPx) ** 2;
  const asked = new Int32Array(patches.length);
  const back = new Int32Array(patches.length);
  for (let i = 0; i < c.x.length; i++) {
    const k = owner[i]!;
    if (k < 0 || foundAt[i]! < 0) continue;
    asked[k]!++;
    const contested = claims
      .get(Math.floor(foundAt[i]! / BIN))!
      .some(
        (other) =>
          (c.x[other]! - c.x[i]!) ** 2 + (c.y[other]! - c.y[i]!) ** 2 > apartSq &&
          costs[owner[other]!]! < costs[k]! + 0.02 &&
          isOnePlace(foundAt[i]!, foundAt[other]!),
      );
    if (!contested) back[k]!++;
  }
  return patches.map((_, k) => (asked[k]! > 0 ? back[k]! / asked[k]! : 1));
}
