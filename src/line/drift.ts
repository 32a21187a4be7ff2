import { boxAround, extentOf } from './box.ts';
import {
  type Against,
  type Bands,
  chainsOf,
  type Judged,
  joinDisplaced,
  joinExtra,
  judgeRun,
  pointsOf,
} from './displaced.ts';
import { missedRuns } from './missed.ts';
import { nearestBand, searchOrder } from './nearest-ink.ts';
import type { Box, Picture } from './picture.ts';
import { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';
import { isRefused, type Refused } from './refused.ts';
import { applyMove, type Registration } from './register.ts';
import type { LineSamples } from './samples.ts';
import { median, quantile } from './statistics.ts';

export interface DriftRun {
  /** Displaced: beside the rough's line. Extra: where the rough has none. Missed: the rough's, left out. */
  readonly kind: 'displaced' | 'extra' | 'missed';
  readonly bbox: Box;
  readonly lengthPx: number;
  /** Displaced and missed: farthest distance between the two lines. Extra: to the nearest rough line. */
  readonly maxPx: number;
  /** Missed only: darkness against the rough's own lines, 0..1 and a little over. */
  readonly strength?: number;
  /** Missed only: drawn in another colour or much lighter than the rough's lines, so likely construction. */
  readonly construction?: boolean;
}

export interface Drift {
  /** Distance of the clean mid-line from the middle of the rough's line, over the whole clean. */
  readonly medianPx: number;
  readonly p95Px: number;
  /** Distance beyond which the line was called out. */
  readonly tolerancePx: number;
  /** Median width of the rough's line or bundle of searching strokes. */
  readonly roughWidthPx: number;
  readonly runs: readonly DriftRun[];
  /** Distance at each point of the clean's mid-line, px: for the heat over the line. */
  readonly alongPx: Float32Array;
}

/** With what a volume is compared by: see `volume-against-rough.ts`. */
export interface DriftAcross extends Drift {
  /** From each point to the middle of the rough's line, along its left normal (−sin, cos), px; NaN without one. */
  readonly acrossPx: Float32Array;
}

export interface DriftInput {
  readonly clean: LineSamples;
  readonly cleanSize: { readonly width: number; readonly height: number };
  readonly roughInk: InkMap;
  /** For the rough's colours; without it construction is told by lightness alone. */
  readonly rough?: Picture;
  readonly registration?: Registration | Refused;
  /** Distance from the middle of a single rough line that still passes; default 3 px or 0.6 of the line's width. */
  readonly tolerancePx?: number;
}

/** Ink across a point up to this many line widths is one line, not a bundle of searching strokes. */
const SINGLE_LINE = 1.6;

/**
 * Drift of the clean line from the rough. Each clean point is measured against the middle of the nearest
 * band of rough ink; within a bundle of searching strokes every place is right. A run is called displaced
 * when the rough's line beside it has no clean line of its own, else extra. Missed lines are ranked, not
 * judged (see `missed.ts`). Lengths in px of the clean. Refuses a blank clean or a blank rough.
 */
export function measureDrift(input: DriftInput): DriftAcross | Refused {
  const { clean, roughInk } = input;
  if (clean.x.length === 0) return { refused: 'the clean drawing is blank' };
  const move = believedMove(input.registration);
  const x = clean.x.slice();
  const y = clean.y.slice();
  if (move) {
    for (let i = 0; i < x.length; i++) [x[i], y[i]] = applyMove(move, input.cleanSize, x[i]!, y[i]!);
  }
  const lineWidth = median(clean.widthPx) || 2;
  const tolerancePx = input.tolerancePx ?? Math.max(3, 0.6 * lineWidth);
  const reachPx = Math.max(40, Math.max(roughInk.width, roughInk.height) / 100);
  const options = { gapPx: tolerancePx, mostPx: Math.max(8 * lineWidth, 24) };
  const bands = bandsOf(roughInk, x, y, clean.tangentRad, searchOrder(reachPx), options);
  if (bands.distancePx.every((px) => Number.isNaN(px)))
    return { refused: 'the rough is blank, or far from the clean drawing' };
  // From outside, a line met end-on or a bundle counts at its near edge; from inside there is only the middle.
  const offPx = new Float32Array(x.length).fill(reachPx);
  const distance = new Float32Array(x.length).fill(reachPx);
  const excess = new Float32Array(x.length).fill(reachPx);
  for (let i = 0; i < x.length; i++) {
    const distancePx = bands.distancePx[i]!;
    const halfWidthPx = bands.halfWidthPx[i]!;
    if (Number.isNaN(distancePx)) continue;
    // Within a bundle every place is right, so only the way out of it counts as distance there.
    const single = 2 * halfWidthPx <= SINGLE_LINE * lineWidth;
    distance[i] = single ? distancePx : Math.max(0, distancePx - halfWidthPx);
    excess[i] = distancePx - (single ? tolerancePx : Math.max(tolerancePx, halfWidthPx + 1));
    const outside = distancePx > halfWidthPx;
    offPx[i] = outside ? distancePx - Math.max(0, halfWidthPx - lineWidth / 2) : distancePx;
  }

  const shortestPx = Math.max(10, 2.5 * lineWidth);
  const found = merge(stretches(clean, excess, shortestPx / 2), x, y, 2 * tolerancePx);
  const isLong = (run: number[]) => run.length * clean.stepPx >= shortestPx;
  const cleanIndex = new PointIndex(x, y, 16);
  const against: Against = {
    offPx,
    x,
    y,
    tangentRad: clean.tangentRad,
    bands,
    cleanIndex,
    roughInk,
    reachPx,
    chainOf: chainOf(clean),
    chainStart: clean.chainStart,
  };
  const judged = joinExtra(
    joinDisplaced(
      found.filter(isLong).map((run) => judgeRun(run, against)),
      found.filter((run) => !isLong(run)),
      against,
    ),
    against,
    4 * tolerancePx,
  );
  const roughWidthPx = 2 * median(bands.halfWidthPx.filter((_, i) => excess[i]! <= 0));
  const missed = missedRuns({
    roughInk,
    rough: input.rough,
    cleanX: x,
    cleanY: y,
    covered: judged.flatMap((run) => answered(run, against)),
    tolerancePx,
    bundlePx: 2 * quantile(bands.halfWidthPx, 0.75),
  });
  const back = move ? { dx: move.dxPx, dy: move.dyPx } : { dx: 0, dy: 0 };
  return {
    medianPx: median(distance),
    p95Px: quantile(distance, 0.95),
    tolerancePx,
    roughWidthPx: roughWidthPx || 0,
    runs: [
      ...judged.map(({ kind, members, maxPx }) => ({
        kind,
        bbox: boxAround(extentOf(members, clean.x, clean.y), input.cleanSize, lineWidth / 2),
        lengthPx: members.length * clean.stepPx,
        maxPx,
      })),
      ...missed.map((run): DriftRun => {
        const [left, top, width, height] = run.bbox;
        return { ...run, bbox: [Math.round(left - back.dx), Math.round(top - back.dy), width, height] };
      }),
    ],
    alongPx: distance,
    // Without a band its place is NaN, and so is the distance.
    acrossPx: x.map(
      (px, i) =>
        Math.cos(clean.tangentRad[i]!) * (bands.y[i]! - y[i]!) -
        Math.sin(clean.tangentRad[i]!) * (bands.x[i]! - px),
    ),
  };
}

function bandsOf(
  roughInk: InkMap,
  x: Float32Array,
  y: Float32Array,
  tangentRad: Float32Array,
  order: Int16Array,
  options: { gapPx: number; mostPx: number },
): Bands {
  const without = () => new Float64Array(x.length).fill(Number.NaN);
  const bands = { distancePx: without(), halfWidthPx: without(), x: without(), y: without() };
  for (let i = 0; i < x.length; i++) {
    const band = nearestBand(roughInk, x[i]!, y[i]!, tangentRad[i]! + Math.PI / 2, order, options);
    if (!band) continue;
    bands.distancePx[i] = band.distancePx;
    bands.halfWidthPx[i] = band.halfWidthPx;
    bands.x[i] = band.x;
    bands.y[i] = band.y;
  }
  return bands;
}

function chainOf(samples: LineSamples): Uint32Array {
  const out = new Uint32Array(samples.x.length);
  for (let c = 0; c + 1 < samples.chainStart.length; c++) {
    out.fill(c, samples.chainStart[c], samples.chainStart[c + 1]);
  }
  return out;
}

/** Where a displaced run's chains would lie had they followed the rough. */
function answered({ shift, members }: Judged, against: Against): [number, number][] {
  if (!shift) return [];
  const out: [number, number][] = [];
  pointsOf(chainsOf(members, against), against, (i) =>
    out.push([against.x[i]! + shift[0], against.y[i]! + shift[1]]),
  );
  return out;
}

function believedMove(registration: Registration | Refused | undefined): Registration | undefined {
  if (!registration || isRefused(registration)) return undefined;
  return registration.believed ? registration : undefined;
}

/** Stretches of points with excess, along each chain; a gap shorter than `bridgePx` does not part them. */
function stretches(clean: LineSamples, excess: Float32Array, bridgePx: number): number[][] {
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
function merge(runs: number[][], x: Float32Array, y: Float32Array, gapPx: number): number[][] {
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
