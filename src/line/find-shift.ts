import { coverageAt, DRAWN_FROM } from './nearest-ink.ts';
import type { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';

/** This share of the points must land on rough line that no other clean line covers. */
const LANDED = 0.85;
/** Points tried: enough to know a shape, few enough for every shift in reach. */
const PROBES = 32;

/**
 * A shift, up to `reachPx`, that lays a run on rough line of its own: the shortest whole shift (on a raster
 * of 2 px) that lands as well as the best. `undefined` when none does, so the run is truly extra.
 */
export function findShift(
  members: readonly number[],
  at: { readonly x: Float32Array; readonly y: Float32Array },
  rough: InkMap,
  clean: PointIndex,
  reachPx: number,
): readonly [dx: number, dy: number] | undefined {
  const own = new Set(members);
  const stride = Math.max(1, members.length / PROBES);
  const probes = Array.from(
    { length: Math.min(PROBES, members.length) },
    (_, k) => members[Math.floor(k * stride)]!,
  );
  const needed = LANDED * probes.length;
  let best: readonly [number, number] | undefined;
  let bestScore = 0;
  for (let dy = -reachPx; dy <= reachPx; dy += 2) {
    for (let dx = -reachPx; dx <= reachPx; dx += 2) {
      const lengthPx = Math.hypot(dx, dy);
      if (lengthPx < 3 || lengthPx > reachPx) continue;
      let landed = 0;
      for (const [k, i] of probes.entries()) {
        if (landed + probes.length - k < needed) break;
        if (coverageAt(rough, at.x[i]! + dx, at.y[i]! + dy) >= DRAWN_FROM) landed++;
      }
      const score = landed / probes.length - (0.1 * lengthPx) / reachPx;
      if (landed < needed || score <= bestScore) continue;
      const covered = probes.filter(
        (i) => clean.nearest(at.x[i]! + dx, at.y[i]! + dy, 2.5, (j) => !own.has(j)) >= 0,
      );
      if (covered.length > 0.4 * probes.length) continue;
      best = [dx, dy];
      bestScore = score;
    }
  }
  return best;
}
