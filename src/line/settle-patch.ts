import type { PatchMove, Target } from './match-line.ts';
import type { Patch } from './patches.ts';
import type { LineSamples } from './samples.ts';
import { solve } from './solve.ts';
import { alter, type Move, movePoint } from './turned-move.ts';

/** Enough for the reach to fall to its narrowest and settle. */
const ROUNDS = 9;
/** Lines whose directions differ by more than this are not the same line. */
const SAME_DIRECTION = Math.cos((35 * Math.PI) / 180);

/**
 * Settles a patch on the target by closest points, distances counted along the target's normal (Chen &
 * Medioni 1991), rigid, with falling reach and Cauchy weights so that a hidden or added line does not pull.
 * Damping holds the patch where its line gives no hold along itself.
 */
export function settlePatch(
  from: LineSamples,
  patch: Patch,
  to: Target,
  start: Move,
  diagonalPx: number,
): PatchMove {
  let move = start;
  let onLine = 0;
  let residualPx = 0;
  let spread: PatchMove['spread'] = [Infinity, 0, Infinity];
  const widest = Math.max(6, 0.012 * diagonalPx);
  const narrowest = Math.max(2, 0.002 * diagonalPx);
  for (let round = 0; round < ROUNDS; round++) {
    const reachPx = Math.max(narrowest, widest * 0.7 ** round);
    const h = new Float64Array(9);
    const g = new Float64Array(3);
    const [cx, cy] = movePoint(move, patch.x, patch.y);
    let near = 0;
    let sumSq = 0;
    let radiusSq = 0;
    for (const i of patch.members) {
      const [x, y] = movePoint(move, from.x[i]!, from.y[i]!);
      radiusSq += (x - cx) ** 2 + (y - cy) ** 2;
      const tangent = from.tangentRad[i]! + move.angleRad;
      const j = to.index.nearest(
        x,
        y,
        reachPx,
        (k) => Math.abs(Math.cos(to.samples.tangentRad[k]! - tangent)) >= SAME_DIRECTION,
      );
      if (j < 0) continue;
      const nx = -Math.sin(to.samples.tangentRad[j]!);
      const ny = Math.cos(to.samples.tangentRad[j]!);
      const off = nx * (to.samples.x[j]! - x) + ny * (to.samples.y[j]! - y);
      near++;
      sumSq += off * off;
      const weight = 1 / (1 + (off / (0.4 * reachPx)) ** 2);
      const row = [nx, ny, nx * -(y - cy) + ny * (x - cx)];
      for (let p = 0; p < 3; p++) {
        g[p]! += weight * row[p]! * off;
        for (let q = 0; q < 3; q++) h[3 * p + q]! += weight * row[p]! * row[q]!;
      }
    }
    onLine = near / patch.members.length;
    residualPx = near > 0 ? Math.sqrt(sumSq / near) : Infinity;
    if (near < 6) break;
    spread = spreadOf(h);
    const damping = 0.01 * near;
    h[0]! += damping;
    h[4]! += damping;
    h[8]! += damping * (radiusSq / patch.members.length) + 1e-6;
    const step = solve(h, g);
    if (!step) break;
    move = alter(move, patch.x, patch.y, step[2]!, step[0]!, step[1]!);
  }
  return { move, onLine, residualPx, spread };
}

/** The shift's share of the inverse normal matrix; a whisker of damping keeps a sliding line's finite. */
function spreadOf(h: Float64Array): PatchMove['spread'] {
  const damped = Float64Array.from(h);
  for (const k of [0, 4, 8]) damped[k]! += 1e-4 * (1 + h[k]!);
  const x = solve(damped, Float64Array.of(1, 0, 0));
  const y = solve(damped, Float64Array.of(0, 1, 0));
  return x && y ? [x[0]!, x[1]!, y[1]!] : [Infinity, 0, Infinity];
}
