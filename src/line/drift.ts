import { boxGap, boxOf, boxUnion } from './box.ts';
import { type Against, type Judged, joinDisplaced, joinExtra, judgeRun } from './displaced.ts';
import { missedRuns } from './missed.ts';
import { type Band, nearestBand, searchOrder } from './nearest-ink.ts';
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
  const order = searchOrder(reachPx);
  const options = { gapPx: tolerancePx, mostPx: Math.max(8 * lineWidth, 24) };
  const bands: (Band | undefined)[] = Array.from(x, (px, i) =>
    nearestBand(roughInk, px, y[i]!, clean.tangentRad[i]! + Math.PI / 2, order, options),
  );
  if (!bands.some(Boolean)) return { refused: 'the rough is blank, or far from the clean drawing' };
  // Within a bundle every place is right, so only the way out of it counts as distance there.
  const isSingle = ({ halfWidthPx }: Band) => 2 * halfWidthPx <= SINGLE_LINE * lineWidth;
  const distance = Float32Array.from(bands, (band) => {
    if (!band) return reachPx;
    return isSingle(band) ? band.distancePx : Math.max(0, band.distancePx - band.halfWidthPx);
  });
  const excess = Float32Array.from(bands, (band) => {
    if (!band) return reachPx;
    const passesPx = isSingle(band) ? tolerancePx : Math.max(tolerancePx, band.halfWidthPx + 1);
    return band.distancePx - passesPx;
  });

  const shortestPx = Math.max(10, 2.5 * lineWidth);
  const found = merge(stretches(clean, excess, shortestPx / 2), x, y, 2 * tolerancePx);
  const isLong = (run: number[]) => run.length * clean.stepPx >= shortestPx;
  const cleanIndex = new PointIndex(x, y, 16);
  // From outside, a line met end-on or a bundle counts at its near edge; from inside there is only the middle.
  const offPx = Float32Array.from(bands, (band) => {
    if (!band) return reachPx;
    const outside = band.distancePx > band.halfWidthPx;
    return outside ? band.distancePx - Math.max(0, band.halfWidthPx - lineWidth / 2) : band.distancePx;
  });
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
  const roughWidthPx =
    2 * median(bands.flatMap((band, i) => (band && excess[i]! <= 0 ? band.halfWidthPx : [])));
  const missed = missedRuns({
    roughInk,
    rough: input.rough,
    cleanX: x,
    cleanY: y,
    covered: judged.flatMap((run) => answered(run, against)),
    tolerancePx,
    bundlePx:
      2 *
      (quantile(
        bands.flatMap((band) => band?.halfWidthPx ?? []),
        0.75,
      ) || 0),
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
        bbox: boxOf(
          members.map((i) => clean.x[i]!),
          members.map((i) => clean.y[i]!),
          input.cleanSize,
          lineWidth / 2,
        ),
        lengthPx: members.length * clean.stepPx,
        maxPx,
      })),
      ...missed.map((run): DriftRun => {
        const [left, top, width, height] = run.bbox;
        return { ...run, bbox: [Math.round(left - back.dx), Math.round(top - back.dy), width, height] };
      }),
    ],
    alongPx: distance,
    acrossPx: Float32Array.from(bands, (band, i) =>
      band
        ? Math.cos(clean.tangentRad[i]!) * (band.y - y[i]!) -
          Math.sin(clean.tangentRad[i]!) * (band.x - x[i]!)
        : Number.NaN,
    ),
  };
}

function chainOf(samples: LineSamples): Uint32Array {
  const out = new Uint32Array(samples.x.length);
  for (let c = 0; c + 1 < samples.chainStart.length; c++) {
    out.fill(c, samples.chainStart[c], samples.chainStart[c + 1]);
  }
  return out;
}

/** Where a displaced run's chains would lie had they followed the rough. */
function answered({ shift, members }: Judged, { x, y, chainOf }: Against): [number, number][] {
  if (!shift) return [];
  const chains = new Set(members.map((i) => chainOf[i]!));
  const out: [number, number][] = [];
  for (let i = 0; i < x.length; i++)
    if (chains.has(chainOf[i]!)) out.push([x[i]! + shift[0], y[i]! + shift[1]]);
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

/** Joins runs whose points come within `gapPx` of each other: one shape redrawn elsewhere is one finding. */
function merge(runs: number[][], x: Float32Array, y: Float32Array, gapPx: number): number[][] {
  const groups = runs.map((run) => ({
    run,
    box: boxOf(
      run.map((i) => x[i]!),
      run.map((i) => y[i]!),
      ANY_PAPER,
    ),
  }));
  for (let a = 0; a < groups.length; a++) {
    for (let b = groups.length - 1; b > a; b--) {
      const one = groups[a]!;
      const other = groups[b]!;
      if (boxGap(one.box, other.box) > gapPx || !touches(one.run, other.run, x, y, gapPx)) continue;
      groups[a] = { run: [...one.run, ...other.run], box: boxUnion(one.box, other.box) };
      groups.splice(b, 1);
      b = groups.length;
    }
  }
  return groups.map(({ run }) => run);
}

const ANY_PAPER = { width: Infinity, height: Infinity };

function touches(p: number[], q: number[], x: Float32Array, y: Float32Array, gapPx: number): boolean {
  return p.some((i) => q.some((j) => Math.hypot(x[i]! - x[j]!, y[i]! - y[j]!) <= gapPx));
}
