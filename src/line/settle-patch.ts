import type { AlongSamples } from './along.ts';
import { directionAlong, type LineMap, mapNearest } from './line-map.ts';
import { alter, type Move, movePoint, turn } from './move.ts';
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
  from: AlongSamples,
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
  const turnH = new Float64Array(9);
  const turnG = new Float64Array(3);
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
    // The normal equations of shift and turn alone, kept in numbers: this loop is most of the work between drawings.
    let [hxx, hxy, hyy, hxt, hyt, htt] = [0, 0, 0, 0, 0, 0];
    let [gx, gy, gt] = [0, 0, 0];
    for (let k = 0; k < members.length; k++) {
      const i = members[k]!;
      const x = move.xx * from.x[i]! + move.xy * from.y[i]! + move.dx;
      const y = move.yx * from.x[i]! + move.yy * from.y[i]! + move.dy;
      const rx = x - cx;
      const ry = y - cy;
      radiusSq += rx * rx + ry * ry;
      const ux = move.xx * from.alongX[i]! + move.xy * from.alongY[i]!;
      const uy = move.yx * from.alongX[i]! + move.yy * from.alongY[i]!;
      const j = nearestOnLine(to, x, y, ux, uy, reachPx);
      if (j < 0) continue;
      const nx = -line.alongY[j]!;
      const ny = line.alongX[j]!;
      const off = nx * (line.x[j]! - x) + ny * (line.y[j]! - y);
      near++;
      sumSq += off * off;
      const weight = 1 / (1 + (off / (0.4 * reachPx)) ** 2);
      const turns = ny * rx - nx * ry;
      hxx += weight * nx * nx;
      hxy += weight * nx * ny;
      hyy += weight * ny * ny;
      hxt += weight * nx * turns;
      hyt += weight * ny * turns;
      htt += weight * turns * turns;
      gx += weight * nx * off;
      gy += weight * ny * off;
      gt += weight * turns * off;
      if (!affine) continue;
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
    turnH.set([hxx, hxy, hxt, hxy, hyy, hyt, hxt, hyt, htt]);
    turnG.set([gx, gy, gt]);
    if (last) spread = spreadOf(turnH);
    const next = affine ? affineStep(h, g, near, meanSq, stiffness) : rigidStep(turnH, turnG, near, meanSq);
    if (!next) break;
    move = alter(move, patch.x, patch.y, next.linear, next.dx, next.dy);
  }
  return { move, onLine, residualPx, spread };
}

/**
 * The point of a line nearest to (x, y) that runs in about the direction of (ux, uy), a vector of any length; −1 without
 * one within `reachPx`.
 */
export function nearestOnLine(
  to: LineMap,
  x: number,
  y: number,
  ux: number,
  uy: number,
  reachPx: number,
): number {
  let j = mapNearest(to, directionAlong(ux, uy), x, y, reachPx + to.cellPx);
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
  const tx = line.alongX[j]!;
  const ty = line.alongY[j]!;
  const along = Math.max(0, Math.abs(tx * (x - line.x[j]!) + ty * (y - line.y[j]!)) - 0.6 * line.stepPx);
  const off = ty * (x - line.x[j]!) - tx * (y - line.y[j]!);
  if (off * off + along * along > reachPx * reachPx) return -1;
  const same = tx * ux + ty * uy;
  return same * same < SAME_DIRECTION ** 2 * (ux * ux + uy * uy) ? -1 : j;
}

/** Adds one point's weighted row to the normal equations. */
function addTo(h: Float64Array, g: Float64Array, row: Float64Array, weight: number, off: number): void {
  for (let p = 0; p < 6; p++) {
    const weighted = weight * row[p]!;
    g[p]! += weighted * off;
    for (let q = 0; q <= p; q++) h[6 * p + q]! += weighted * row[q]!;
  }
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
