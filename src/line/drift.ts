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
import { loosenessOf } from './looseness.ts';
import { missedRuns } from './missed.ts';
import { nearestBand, searchOrder } from './nearest-ink.ts';
import type { Box, Picture } from './picture.ts';
import { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';
import { isRefused, type Refused } from './refused.ts';
import { applyMove, type Registration } from './register.ts';
import type { LineSamples } from './samples.ts';
import { median, quantile } from './statistics.ts';
import { merge, stretches } from './stretches.ts';

export interface DriftRun {
  /** Displaced: beside the rough's line. Extra: where the rough has none. Missed: the rough's, left out. */
  readonly kind: 'displaced' | 'extra' | 'missed';
  readonly bbox: Box;
  readonly lengthPx: number;
  /** Displaced and missed: farthest distance between the two lines. Extra: to the nearest rough line. */
  readonly maxPx: number;
  /** Displaced and extra: how far the rough's own strokes stray at the farthest place, px. */
  readonly strayPx?: number;
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
  /** How far the rough's strokes stray from the middle of theirs, root mean square over the drawing, px. */
  readonly roughStrayPx: number;
  readonly runs: readonly DriftRun[];
  /** Distance at each point of the clean's mid-line beyond what the rough strays by there, px: for the heat. */
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

/**
 * How far strokes of a rough lie off the line they look for, at most, in root mean squares of their stray. Lower calls
 * out loose roughs, higher hides displacements. At 2.1, with the hand's own tolerance in squares, 1 in 15 very loose
 * drawings is called out and 98 % of displacements by 4 px more are found; at 1.9 twice as many are called out.
 */
const STRAYS = 2.1;
/** Where a run is called out, what lies beside it counts from this share of what is allowed. */
const ALONG = 0.6;

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

  const cleanIndex = new PointIndex(x, y, 16);
  const longEdgePx = Math.max(roughInk.width, roughInk.height);
  const looseness = loosenessOf(
    { x, y, tangentRad: clean.tangentRad },
    clean.chainStart,
    cleanIndex,
    roughInk,
    {
      reachPx: Math.max(16, longEdgePx / 85),
      roundPx: Math.max(60, longEdgePx / 14),
      stepPx: clean.stepPx,
      linePx: lineWidth,
    },
  );
  const strayPx = looseness.atPx.map((px) => STRAYS * px);
  const alongPx = distance.slice();
  for (let i = 0; i < x.length; i++) {
    const isOutside = bands.distancePx[i]! > bands.halfWidthPx[i]!;
    const middlePx = looseness.middlePx[i]!;
    // Beside all its strokes a line lies as far off as their middle does; between them it lies right.
    if (strayPx[i]! > tolerancePx / 2 && isOutside && middlePx <= offPx[i]! + strayPx[i]!)
      offPx[i] = middlePx === 0 ? 0 : Math.max(offPx[i]!, middlePx);
    if (strayPx[i]! > tolerancePx) excess[i] = Math.min(excess[i]!, offPx[i]! - ALONG * strayPx[i]!);
    alongPx[i] = beyond(isOutside ? offPx[i]! : distance[i]!, strayPx[i]!);
  }
  const shortestPx = Math.max(10, 2.5 * lineWidth);
  const found = merge(stretches(clean, excess, shortestPx / 2), x, y, 2 * tolerancePx);
  const isLong = (run: number[]) => run.length * clean.stepPx >= shortestPx;
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
  const isBeyond = (run: number[]) => run.some((i) => beyond(offPx[i]!, strayPx[i]!) > tolerancePx);
  const judged = joinExtra(
    joinDisplaced(
      found.filter((run) => isLong(run) && isBeyond(run)).map((run) => judgeRun(run, against)),
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
    strayPx: STRAYS * looseness.strayPx,
  });
  const back = move ? { dx: move.dxPx, dy: move.dyPx } : { dx: 0, dy: 0 };
  return {
    medianPx: median(distance),
    p95Px: quantile(distance, 0.95),
    tolerancePx,
    roughWidthPx: roughWidthPx || 0,
    roughStrayPx: looseness.strayPx,
    runs: [
      ...judged.map(({ kind, members, maxPx }) => ({
        kind,
        bbox: boxAround(extentOf(members, clean.x, clean.y), input.cleanSize, lineWidth / 2),
        lengthPx: members.length * clean.stepPx,
        maxPx,
        strayPx: strayPx[farthestOf(members, offPx)]!,
      })),
      ...missed.map((run): DriftRun => {
        const [left, top, width, height] = run.bbox;
        return { ...run, bbox: [Math.round(left - back.dx), Math.round(top - back.dy), width, height] };
      }),
    ],
    alongPx,
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

/** What is left of a distance when a stray explains part of it: the two are independent, so they add in squares. */
export function beyond(offPx: number, strayPx: number): number {
  return Math.sqrt(Math.max(0, offPx * offPx - strayPx * strayPx));
}

function farthestOf(members: readonly number[], offPx: Float32Array): number {
  return members.reduce((at, i) => (offPx[i]! > offPx[at]! ? i : at), members[0]!);
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
