import type { PatchMove, Target } from './match-line.ts';
import { alter, type Move, moveDirection, movePoint, turn } from './move.ts';
import type { Patch } from './patches.ts';
import type { LineSamples } from './samples.ts';
import { solve } from './solve.ts';

/** Rigid rounds first, for place and turn; then affine ones, since flesh and cloth squash and stretch. */
const RIGID_ROUNDS = 5;
const AFFINE_ROUNDS = 6;
/** Lines whose directions differ by more than this are not the same line. */
const SAME_DIRECTION = Math.cos((35 * Math.PI) / 180);
/** Holds the affine part back, as a share of full hold: a patch of few lines would shear to please noise. */
const STIFFNESS = 0.06;

/**
 * Settles a patch on the target by closest points, distances counted along the target's normal (Chen &
 * Medioni 1991), with falling reach and Cauchy weights so that a hidden or added line does not pull.
 * Damping holds the patch where its line gives no hold along itself. `rigid` leaves the affine rounds out.
 */
export function settlePatch(
  from: LineSamples,
  patch: Patch,
  to: Target,
  start: Move,
  diagonalPx: number,
  rigid = false,
): PatchMove {
  let move = start;
  let onLine = 0;
  let residualPx = 0;
  let spread: PatchMove['spread'] = [Infinity, 0, Infinity];
  const widest = Math.max(6, 0.014 * diagonalPx);
  const narrowest = Math.max(2, 0.003 * diagonalPx);
  const row = new Float64Array(6);
  let directionRad = 0;
  const runsAlike = (k: number) =>
    Math.abs(Math.cos(to.samples.tangentRad[k]! - directionRad)) >= SAME_DIRECTION;
  const rounds = RIGID_ROUNDS + (rigid ? 3 : AFFINE_ROUNDS);
  for (let round = 0; round < rounds; round++) {
    const affine = !rigid && round >= RIGID_ROUNDS;
    const reachPx = Math.max(narrowest, widest * 0.8 ** round);
    const h = new Float64Array(36);
    const g = new Float64Array(6);
    const [cx, cy] = movePoint(move, patch.x, patch.y);
    let near = 0;
    let sumSq = 0;
    let radiusSq = 0;
    for (const i of patch.members) {
      const [x, y] = movePoint(move, from.x[i]!, from.y[i]!);
      const rx = x - cx;
      const ry = y - cy;
      radiusSq += rx * rx + ry * ry;
      directionRad = moveDirection(move, from.tangentRad[i]!);
      const j = to.index.nearest(x, y, reachPx, runsAlike);
      if (j < 0) continue;
      const nx = -Math.sin(to.samples.tangentRad[j]!);
      const ny = Math.cos(to.samples.tangentRad[j]!);
      const off = nx * (to.samples.x[j]! - x) + ny * (to.samples.y[j]! - y);
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
    onLine = near / patch.members.length;
    residualPx = near > 0 ? Math.sqrt(sumSq / near) : Infinity;
    if (near < 6) break;
    const turning = ofTurn(h, g);
    spread = spreadOf(turning.h);
    const meanSq = radiusSq / patch.members.length;
    const next = affine ? affineStep(h, g, near, meanSq) : rigidStep(turning.h, turning.g, near, meanSq);
    if (!next) break;
    move = alter(move, patch.x, patch.y, next.linear, next.dx, next.dy);
  }
  return { move, onLine, residualPx, spread };
}

/** Adds one point's weighted row to the normal equations; a function of its own, as it is most of the work. */
function addTo(h: Float64Array, g: Float64Array, row: Float64Array, weight: number, off: number): void {
  for (let p = 0; p < 6; p++) {
    const weighted = weight * row[p]!;
    g[p]! += weighted * off;
    for (let q = 0; q < 6; q++) h[6 * p + q]! += weighted * row[q]!;
  }
}

/** The normal equations of shift and turn alone: a turn is (0, −1, 1, 0) of the affine part. */
function ofTurn(h: Float64Array, g: Float64Array): { h: Float64Array; g: Float64Array } {
  const at = (p: number, q: number) => h[6 * p + q]!;
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

function affineStep(h: Float64Array, g: Float64Array, near: number, meanSq: number) {
  const damped = h.slice();
  for (let p = 0; p < 6; p++) damped[7 * p]! += p < 2 ? 0.01 * near : STIFFNESS * near * meanSq + 1e-6;
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
