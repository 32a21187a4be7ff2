import { boxAround, boxGap, type Extent, extentOf, extentUnion } from './box.ts';
import { findShift } from './find-shift.ts';
import { coverageAt, DRAWN_FROM, nearestBand, searchOrder } from './nearest-ink.ts';
import type { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';
import { solve } from './solve.ts';

/** What is known of a clean drawing's points against its rough, in px of the rough. */
export interface Against {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly tangentRad: Float32Array;
  readonly bands: Bands;
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
  /** Chain c is points `chainStart[c]` up to `chainStart[c + 1]`. */
  readonly chainStart: Uint32Array;
}

/** The band of each point (see `nearestBand`), px of the rough; NaN where there is none. */
export interface Bands {
  readonly distancePx: Float64Array;
  readonly halfWidthPx: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
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
    const distancePx = all.bands.distancePx[i]!;
    if (Number.isNaN(distancePx)) continue;
    const [x, y] = [all.bands.x[i]!, all.bands.y[i]!];
    const [dx, dy] = [x - all.x[i]!, y - all.y[i]!];
    const along = Math.abs(Math.cos(all.tangentRad[i]!) * dx + Math.sin(all.tangentRad[i]!) * dy);
    if (along > 0.7 * distancePx) continue;
    const other = all.cleanIndex.nearest(x, y, 0.6 * distancePx, (j) => !own.has(j));
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
  const inOrder: (Judged | { readonly kind: 'scrap'; readonly members: number[] })[] = [
    ...[...runs].sort(
      (p, q) =>
        Number(q.kind === 'displaced') - Number(p.kind === 'displaced') ||
        q.members.length - p.members.length,
    ),
    ...scraps.map((members) => ({ kind: 'scrap', members }) as const),
  ];
  let left = inOrder.map((run) => ({
    run,
    extent: extentOf(run.members, all.x, all.y),
    chains: chainsOf(run.members, all),
  }));
  const out: Judged[] = [];
  for (let first = left.shift(); first && first.run.kind !== 'scrap'; first = left.shift()) {
    const { run } = first;
    if (run.kind !== 'displaced') {
      out.push(run);
      continue;
    }
    const shift = settle(first.chains, run.shift!, all);
    const nearPx = 2 * Math.hypot(shift[0], shift[1]) + 12;
    const members = [...run.members];
    let { maxPx } = run;
    let { extent } = first;
    // Whether the shift explains a run does not hang on what has joined: each is asked once, when it is near.
    const explained = new Map<number, boolean>();
    const joined = new Set<number>();
    for (let k = 0; k < left.length; k++) {
      const other = left[k]!;
      if (joined.has(k) || explained.get(k) === false) continue;
      const together =
        meet(first.chains, other.chains) ||
        boxGap(boxAround(extent, all.roughInk), boxAround(other.extent, all.roughInk)) <= nearPx;
      if (!together) continue;
      explained.set(k, share(other.run.members, shift, all) >= EXPLAINED);
      if (!explained.get(k)) continue;
      joined.add(k);
      for (const i of other.run.members) members.push(i);
      maxPx = Math.max(maxPx, farthest(other.run.members, all));
      const grown = extentUnion(extent, other.extent);
      // What was too far from the smaller extent may be near now.
      if (grown.some((edge, e) => edge !== extent[e])) k = -1;
      extent = grown;
    }
    left = left.filter((_, k) => !joined.has(k));
    out.push({ ...run, members, maxPx, shift });
  }
  return out;
}

/** Extra runs of one line, parted where a rough line crosses it, are one. */
export function joinExtra(runs: readonly Judged[], all: Against, gapPx: number): Judged[] {
  const out: { run: Judged; extent: Extent; chains: Set<number> }[] = [];
  for (const run of runs) {
    const extent = extentOf(run.members, all.x, all.y);
    const chains = chainsOf(run.members, all);
    const same =
      run.kind === 'extra'
        ? out.find(
            (other) =>
              other.run.kind === 'extra' &&
              meet(chains, other.chains) &&
              boxGap(boxAround(other.extent, all.roughInk), boxAround(extent, all.roughInk)) <= gapPx,
          )
        : undefined;
    if (!same) {
      out.push({ run, extent, chains });
      continue;
    }
    const maxPx = Math.max(same.run.maxPx, run.maxPx);
    same.run = { kind: 'extra', members: same.run.members.concat(run.members), maxPx };
    same.extent = extentUnion(same.extent, extent);
    for (const chain of chains) same.chains.add(chain);
  }
  return out.map(({ run }) => run);
}

/** The chains that points belong to. */
export function chainsOf(members: readonly number[], { chainOf }: Pick<Against, 'chainOf'>): Set<number> {
  return new Set(members.map((i) => chainOf[i]!));
}

/** Visits every point of some chains, in the order of the points. */
export function pointsOf(
  chains: ReadonlySet<number>,
  { chainStart }: Pick<Against, 'chainStart'>,
  visit: (i: number) => void,
): void {
  for (const c of [...chains].sort((a, b) => a - b)) {
    for (let i = chainStart[c]!; i < chainStart[c + 1]!; i++) visit(i);
  }
}

function meet(a: ReadonlySet<number>, b: ReadonlySet<number>): boolean {
  const [fewer, more] = a.size < b.size ? [a, b] : [b, a];
  for (const item of fewer) if (more.has(item)) return true;
  return false;
}

/** A point's normal and how far along it the rough lies. */
type Pull = readonly [nx: number, ny: number, offPx: number];

function shiftOf(members: readonly number[], all: Against, mostPx: number): readonly [number, number] {
  const [dx, dy] = leastSquares(
    members.map((i) => {
      const nx = -Math.sin(all.tangentRad[i]!);
      const ny = Math.cos(all.tangentRad[i]!);
      return [nx, ny, nx * (all.bands.x[i]! - all.x[i]!) + ny * (all.bands.y[i]! - all.y[i]!)];
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
    pointsOf(chains, all, (i) => {
      const normalRad = all.tangentRad[i]! + Math.PI / 2;
      const [x, y] = [all.x[i]! + dx, all.y[i]! + dy];
      const band = nearestBand(all.roughInk, x, y, normalRad, order, { gapPx: 3, mostPx: 24 });
      if (!band) return;
      const [nx, ny] = [Math.cos(normalRad), Math.sin(normalRad)];
      pulls.push([nx, ny, nx * (band.x - x) + ny * (band.y - y)]);
    });
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
