import { directionOf, type LineMap, mapNearest } from './line-map.ts';
import { alter, type Move, moveDirection, movePoint, turn } from './move.ts';
import type { LineSamples } from './samples.ts';
import { solve } from './solve.ts';

/** Lines whose directions differ by more than this are not the same line. */
const SAME_DIRECTION = Math.cos((35 * Math.PI) / 180);
/** Holds the affine part back, as a share of full hold: a patch of few lines would shear to please noise. */
const STIFFNESS = 0.06;

/** A patch's fit to a drawing. */
export interface PatchMove {
  readonly move: Move;
  /** Share of the patch's points that lie on a line of the drawing. */
  readonly onLine: number;
  /** Root mean square distance of those, px. */
  readonly residualPx: number;
  /** Variance of the centre's place per px² of residual: xx, xy, yy. Large along a line that can slide. */
  readonly spread: readonly [xx: number, xy: number, yy: number];
}

export interface Settling {
  /** Farthest a point looks for its line in the first round and in the last, px. */
  readonly widestPx: number;
  readonly narrowestPx: number;
  /** Rigid rounds first, for place and turn; then affine ones, since flesh and cloth squash and stretch. */
  readonly rigidRounds: number;
  readonly affineRounds: number;
  readonly stiffness?: number;
}

/**
 * Settles some points of a drawing on another's line by closest points, distances counted along the line's normal
 * (Chen & Medioni 1991), with falling reach and Cauchy weights so that a hidden or added line does not pull.
 * Damping holds the points where their line gives no hold along itself.
 */
export function settlePatch(
  from: LineSamples,
  patch: { readonly x: number; readonly y: number; readonly members: ArrayLike<number> },
  to: LineMap,
  start: Move,
  { widestPx, narrowestPx, rigidRounds, affineRounds, stiffness = STIFFNESS }: Settling,
): PatchMove {
  const { members } = patch;
  const line = to.samples;
  let move = start;
  let onLine = 0;
  let residualPx = Infinity;
  let spread: PatchMove['spread'] = [Infinity, 0, Infinity];
  const row = new Float64Array(6);
  const h = new Float64Array(36);
  const g = new Float64Array(6);
  const rounds = rigidRounds + affineRounds;
  const fall = (narrowestPx / widestPx) ** (1 / Math.max(1, 0.75 * rounds));
  for (let round = 0; round < rounds; round++) {
    const affine = round >= rigidRounds;
    const reachPx = Math.max(narrowestPx, widestPx * fall ** round);
    h.fill(0);
    g.fill(0);
    const [cx, cy] = movePoint(move, patch.x, patch.y);
    let near = 0;
    let sumSq = 0;
    let radiusSq = 0;
    for (let k = 0; k < members.length; k++) {
      const i = members[k]!;
      const x = move.xx * from.x[i]! + move.xy * from.y[i]! + move.dx;
      const y = move.yx * from.x[i]! + move.yy * from.y[i]! + move.dy;
      const rx = x - cx;
      const ry = y - cy;
      radiusSq += rx * rx + ry * ry;
      const j = nearestOnLine(to, x, y, moveDirection(move, from.tangentRad[i]!), reachPx);
      if (j < 0) continue;
      const nx = -Math.sin(line.tangentRad[j]!);
      const ny = Math.cos(line.tangentRad[j]!);
      const off = nx * (line.x[j]! - x) + ny * (line.y[j]! - y);
      near++;
      sumSq += off * off;
      const weight = 1 / (1 + (off / (0.4 * reachPx)) ** 2);
      row[0] = nx;
      row[1] = ny;
      row[2] = nx * rx;
      row[3] = nx * ry;
      row[4] = ny * rx;
      row[5] = ny * ry;
      addTo(h, g, row, weight, off);
    }
    onLine = near / members.length;
    residualPx = near > 0 ? Math.sqrt(sumSq / near) : Infinity;
    if (near < 6) break;
    const meanSq = radiusSq / members.length;
    const last = round === rounds - 1;
    const turning = affine && !last ? undefined : ofTurn(h, g);
    if (last) spread = spreadOf(turning!.h);
    const next = affine
      ? affineStep(h, g, near, meanSq, stiffness)
      : rigidStep(turning!.h, turning!.g, near, meanSq);
    if (!next) break;
    move = alter(move, patch.x, patch.y, next.linear, next.dx, next.dy);
  }
  return { move, onLine, residualPx, spread };
}

/** The point of a line nearest to (x, y) that runs in about this direction, −1 without one within `reachPx`. */
export function nearestOnLine(
  to: LineMap,
  x: number,
  y: number,
  directionRad: number,
  reachPx: number,
): number {
  let j = mapNearest(to, directionOf(directionRad), x, y, reachPx + to.cellPx);
  if (j < 0) return -1;
  const line = to.samples;
  // The map knows the point nearest to the cell's middle: on along the line to the one nearest to the place.
  let distSq = (line.x[j]! - x) ** 2 + (line.y[j]! - y) ** 2;
  for (const step of [1, -1]) {
    for (let k = j + step; k >= 0 && k < line.x.length; k += step) {
      const next = (line.x[k]! - x) ** 2 + (line.y[k]! - y) ** 2;
      if (next >= distSq) break;
      [j, distSq] = [k, next];
    }
  }
  // Points stand for the line around them: how far apart they are is no distance from it.
  const [tx, ty] = [Math.cos(line.tangentRad[j]!), Math.sin(line.tangentRad[j]!)];
  const along = Math.max(0, Math.abs(tx * (x - line.x[j]!) + ty * (y - line.y[j]!)) - 0.6 * line.stepPx);
  const off = ty * (x - line.x[j]!) - tx * (y - line.y[j]!);
  if (off * off + along * along > reachPx * reachPx) return -1;
  return Math.abs(Math.cos(line.tangentRad[j]! - directionRad)) < SAME_DIRECTION ? -1 : j;
}

/** Adds one point's weighted row to the normal equations; a function of its own, as it is most of the work. */
function addTo(h: Float64Array, g: Float64Array, row: Float64Array, weight: number, off: number): void {
  for (let p = 0; p < 6; p++) {
    const weighted = weight * row[p]!;
    g[p]! += weighted * off;
    for (let q = 0; q <= p; q++) h[6 * p + q]! += weighted * row[q]!;
  }
}
/** The normal equations of shift and turn alone: a turn is (0, −1, 1, 0) of the affine part. */
function ofTurn(h: Float64Array, g: Float64Array): { h: Float64Array; g: Float64Array } {
  // Only one half of the matrix was added up.
  const at = (p: number, q: number) => h[p >= q ? 6 * p + q : 6 * q + p]!;
  const turned = (p: number) => at(p, 4) - at(p, 3);
  const both = at(4, 4) - at(4, 3) - at(3, 4) + at(3, 3);
  return {
    h: Float64Array.of(
      at(0, 0),
      at(0, 1),
      turned(0),
      at(1, 0),
      at(1, 1),
      turned(1),
      turned(0),
      turned(1),
      both,
    ),
    g: Float64Array.of(g[0]!, g[1]!, g[4]! - g[3]!),
  };
}

function rigidStep(h: Float64Array, g: Float64Array, near: number, meanSq: number) {
  const damped = h.slice();
  damped[0]! += 0.01 * near;
  damped[4]! += 0.01 * near;
  damped[8]! += 0.01 * near * meanSq + 1e-6;
  const step = solve(damped, g);
  return step && { dx: step[0]!, dy: step[1]!, linear: turn(step[2]!) };
}

function affineStep(h: Float64Array, g: Float64Array, near: number, meanSq: number, stiffness: number) {
  const damped = h.slice();
  for (let p = 0; p < 6; p++) for (let q = p + 1; q < 6; q++) damped[6 * p + q] = h[6 * q + p]!;
  for (let p = 0; p < 6; p++) damped[7 * p]! += p < 2 ? 0.01 * near : stiffness * near * meanSq + 1e-6;
  const step = solve(damped, g);
  return (
    step && {
      dx: step[0]!,
      dy: step[1]!,
      linear: { xx: 1 + step[2]!, xy: step[3]!, yx: step[4]!, yy: 1 + step[5]! },
    }
  );
}

/** The shift's share of the inverse normal matrix; a whisker of damping keeps a sliding line's finite. */
function spreadOf(h: Float64Array): PatchMove['spread'] {
  const damped = Float64Array.from(h);
  for (const k of [0, 4, 8]) damped[k]! += 1e-4 * (1 + h[k]!);
  const x = solve(damped, Float64Array.of(1, 0, 0));
  const y = solve(damped, Float64Array.of(0, 1, 0));
  return x && y ? [x[0]!, x[1]!, y[1]!] : [Infinity, 0, Infinity];
}
