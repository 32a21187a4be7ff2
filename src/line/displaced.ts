import { boxGap, boxOf } from './box.ts';
import { findShift } from './find-shift.ts';
import { type Band, coverageAt, DRAWN_FROM, nearestBand, searchOrder } from './nearest-ink.ts';
import type { Box } from './picture.ts';
import type { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';
import { solve } from './solve.ts';

/** What is known of a clean drawing's points against its rough, in px of the rough. */
export interface Against {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly tangentRad: Float32Array;
  readonly bands: readonly (Band | undefined)[];
  /**
   * Distance to the middle of the nearest line, of a band wider than one line to the line at its near edge;
   * `reachPx` without one.
   */
  readonly offPx: Float32Array;
  readonly cleanIndex: PointIndex;
  readonly roughInk: InkMap;
  readonly reachPx: number;
  /** The chain of each point. */
  readonly chainOf: Uint32Array;
}

export interface Judged {
  readonly kind: 'displaced' | 'extra';
  readonly members: number[];
  readonly maxPx: number;
  /** Displaced: the shift that lays the run back on the rough, px. */
  readonly shift?: readonly [number, number];
}

/** This share of a run must land on rough line for a shift to explain it. */
const EXPLAINED = 0.7;

/**
 * Displaced when most of the run has, straight beside it, rough line that no other clean line covers, or when
 * one shift lays it on such line; else extra.
 */
export function judgeRun(members: number[], all: Against): Judged {
  const own = new Set(members);
  const beside: number[] = [];
  for (const i of members) {
    const band = all.bands[i];
    if (!band) continue;
    const dx = band.x - all.x[i]!;
    const dy = band.y - all.y[i]!;
    const along = Math.abs(Math.cos(all.tangentRad[i]!) * dx + Math.sin(all.tangentRad[i]!) * dy);
    if (along > 0.7 * band.distancePx) continue;
    const other = all.cleanIndex.nearest(band.x, band.y, 0.6 * band.distancePx, (j) => !own.has(j));
    if (other < 0) beside.push(i);
  }
  const maxPx = farthest(members, all);
  if (beside.length > members.length / 2) {
    return { kind: 'displaced', members, maxPx, shift: shiftOf(beside, all, maxPx) };
  }
  const shift = findShift(members, all, all.roughInk, all.cleanIndex, all.reachPx);
  return shift ? { kind: 'displaced', members, maxPx, shift } : { kind: 'extra', members, maxPx };
}

function farthest(members: readonly number[], all: Against): number {
  return members.reduce((most, i) => Math.max(most, all.offPx[i]!), 0);
}

/**
 * A shape drawn elsewhere shows as several runs, since it crosses its own old place and its ends find other
 * lines. Runs near a displaced one that the same shift lays on the rough belong to it, and so do `scraps` too short
 * to be runs of their own; other scraps are dropped.
 */
export function joinDisplaced(runs: readonly Judged[], scraps: readonly number[][], all: Against): Judged[] {
  const left: (Judged | { readonly kind: 'scrap'; readonly members: number[] })[] = [
    ...[...runs].sort(
      (p, q) =>
        Number(q.kind === 'displaced') - Number(p.kind === 'displaced') ||
        q.members.length - p.members.length,
    ),
    ...scraps.map((members) => ({ kind: 'scrap', members }) as const),
  ];
  const out: Judged[] = [];
  for (let run = left.shift(); run && run.kind !== 'scrap'; run = left.shift()) {
    if (run.kind === 'displaced') {
      const chains = new Set(run.members.map((i) => all.chainOf[i]!));
      const shift = settle(chains, run.shift!, all);
      run = { ...run, shift };
      const near = 2 * Math.hypot(shift[0], shift[1]) + 12;
      for (let k = 0; k < left.length; k++) {
        const other = left[k]!;
        const together =
          other.members.some((i) => chains.has(all.chainOf[i]!)) ||
          boxGap(box(run.members, all), box(other.members, all)) <= near;
        if (!together || share(other.members, shift, all) < EXPLAINED) continue;
        const members: number[] = [...run.members, ...other.members];
        run = { ...run, members, maxPx: farthest(members, all) };
        left.splice(k, 1);
        k = -1;
      }
    }
    out.push(run);
  }
  return out;
}

/** Extra runs of one line, parted where a rough line crosses it, are one. */
export function joinExtra(runs: readonly Judged[], all: Against, gapPx: number): Judged[] {
  const out: Judged[] = [];
  for (const run of runs) {
    const chains = new Set(run.members.map((i) => all.chainOf[i]!));
    const at = out.findIndex(
      ({ kind, members }) =>
        kind === 'extra' &&
        run.kind === 'extra' &&
        members.some((i) => chains.has(all.chainOf[i]!)) &&
        boxGap(box(members, all), box(run.members, all)) <= gapPx,
    );
    if (at < 0) out.push(run);
    else {
      const members = [...out[at]!.members, ...run.members];
      out[at] = { kind: 'extra', members, maxPx: farthest(members, all) };
    }
  }
  return out;
}

/** A point's normal and how far along it the rough lies. */
type Pull = readonly [nx: number, ny: number, offPx: number];

function shiftOf(members: readonly number[], all: Against, mostPx: number): readonly [number, number] {
  const [dx, dy] = leastSquares(
    members.map((i) => {
      const nx = -Math.sin(all.tangentRad[i]!);
      const ny = Math.cos(all.tangentRad[i]!);
      const band = all.bands[i]!;
      return [nx, ny, nx * (band.x - all.x[i]!) + ny * (band.y - all.y[i]!)];
    }),
  );
  const length = Math.hypot(dx, dy);
  const most = 1.5 * mostPx;
  return length > most ? [(dx * most) / length, (dy * most) / length] : [dx, dy];
}

/** Improves a shift with what the whole chains meet once shifted: closest bands again, twice. */
function settle(
  chains: ReadonlySet<number>,
  shift: readonly [number, number],
  all: Against,
): readonly [number, number] {
  const order = searchOrder(12);
  let [dx, dy] = shift;
  for (let round = 0; round < 3; round++) {
    const pulls: Pull[] = [];
    for (let i = 0; i < all.x.length; i++) {
      if (!chains.has(all.chainOf[i]!)) continue;
      const normalRad = all.tangentRad[i]! + Math.PI / 2;
      const [x, y] = [all.x[i]! + dx, all.y[i]! + dy];
      const band = nearestBand(all.roughInk, x, y, normalRad, order, { gapPx: 3, mostPx: 24 });
      if (!band) continue;
      const [nx, ny] = [Math.cos(normalRad), Math.sin(normalRad)];
      pulls.push([nx, ny, nx * (band.x - x) + ny * (band.y - y)]);
    }
    if (pulls.length < 4) break;
    const step = leastSquares(pulls);
    dx += step[0];
    dy += step[1];
  }
  // Settling on a neighbour line would take the shift far from what the run itself measured.
  const strayed = Math.hypot(dx - shift[0], dy - shift[1]) > 0.6 * Math.hypot(...shift) + 3;
  return strayed ? shift : [dx, dy];
}

/** Shift that best satisfies all pulls; a small damping where the line gives no hold along itself. */
function leastSquares(pulls: readonly Pull[]): readonly [number, number] {
  const damping = 0.02 * pulls.length;
  const h = new Float64Array([damping, 0, 0, damping]);
  const r = new Float64Array(2);
  for (const [nx, ny, off] of pulls) {
    h[0]! += nx * nx;
    h[1]! += nx * ny;
    h[2]! += nx * ny;
    h[3]! += ny * ny;
    r[0]! += nx * off;
    r[1]! += ny * off;
  }
  const solved = solve(h, r);
  return solved ? [solved[0]!, solved[1]!] : [0, 0];
}

function share(members: readonly number[], [dx, dy]: readonly [number, number], all: Against): number {
  const step = Math.max(1, Math.hypot(dx, dy) / 6);
  let hits = 0;
  for (const i of members) {
    const x = all.x[i]! + dx;
    const y = all.y[i]! + dy;
    // The line itself or a little beside it: a redrawn shape is never an exact shift.
    const hit = [0, -1, 1].some(
      (k) =>
        coverageAt(
          all.roughInk,
          x - Math.sin(all.tangentRad[i]!) * k * step,
          y + Math.cos(all.tangentRad[i]!) * k * step,
        ) >= DRAWN_FROM,
    );
    if (hit) hits++;
  }
  return hits / members.length;
}

function box(members: readonly number[], all: Against): Box {
  return boxOf(
    members.map((i) => all.x[i]!),
    members.map((i) => all.y[i]!),
    all.roughInk,
  );
}
