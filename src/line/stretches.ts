import { PointIndex } from './point-index.ts';
import type { LineSamples } from './samples.ts';

/** Stretches of points with excess, along each chain; a gap shorter than `bridgePx` does not part them. */
export function stretches(clean: LineSamples, excess: Float32Array, bridgePx: number): number[][] {
  const runs: number[][] = [];
  for (let c = 0; c + 1 < clean.chainStart.length; c++) {
    let run: number[] = [];
    let last = -Infinity;
    for (let i = clean.chainStart[c]!; i < clean.chainStart[c + 1]!; i++) {
      if (excess[i]! <= 0) continue;
      if ((i - last) * clean.stepPx > bridgePx && run.length > 0) {
        runs.push(run);
        run = [];
      }
      run.push(i);
      last = i;
    }
    if (run.length > 0) runs.push(run);
  }
  return runs;
}

/**
 * Joins runs whose points come within `gapPx` of each other: one shape redrawn elsewhere is one finding. A run is
 * followed by the last of those that touch it or what it was joined with.
 */
export function merge(runs: number[][], x: Float32Array, y: Float32Array, gapPx: number): number[][] {
  if (runs.length < 2) return runs;
  const touching = touches(runs, x, y, gapPx);
  const taken = new Uint8Array(runs.length);
  return runs.flatMap((run, first) => {
    if (taken[first]) return [];
    taken[first] = 1;
    const members = [...run];
    const near = [...touching[first]!];
    while (near.length > 0) {
      const last = near.reduce((most, other, at) => (other > near[most]! ? at : most), 0);
      const other = near[last]!;
      near[last] = near.at(-1)!;
      near.pop();
      if (taken[other]) continue;
      taken[other] = 1;
      for (const i of runs[other]!) members.push(i);
      for (const next of touching[other]!) if (!taken[next]) near.push(next);
    }
    return [members];
  });
}

/** For each run, the others that it touches. */
function touches(runs: number[][], x: Float32Array, y: Float32Array, gapPx: number): Set<number>[] {
  const points = runs.flat();
  const ofPoint = runs.flatMap((run, r) => Array<number>(run.length).fill(r));
  const pointX = Float32Array.from(points, (i) => x[i]!);
  const pointY = Float32Array.from(points, (i) => y[i]!);
  const index = new PointIndex(pointX, pointY, gapPx);
  const found = runs.map(() => new Set<number>());
  for (let k = 0; k < points.length; k++) {
    index.around(pointX[k]!, pointY[k]!, gapPx, (other) => {
      if (ofPoint[other] !== ofPoint[k]) found[ofPoint[k]!]!.add(ofPoint[other]!);
    });
  }
  return found;
}
