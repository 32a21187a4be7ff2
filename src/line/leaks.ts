import { distanceField } from './distance.ts';
import { type Ink, LINE_FROM } from './ink.ts';
import { type LineEnd, lineEnds } from './line-ends.ts';
import { coverageAt } from './nearest-ink.ts';
import { type Regions, regionAt, regionsOf } from './regions.ts';
import type { Runs } from './runs.ts';
import type { Skeleton } from './skeleton.ts';

/** A gap in the line through which a fill would run. */
export interface Leak {
  /** Middle of the gap, px. */
  readonly xPx: number;
  readonly yPx: number;
  /** From edge to edge of the line across the gap, px. */
  readonly widthPx: number;
  /** The two edges of the line, px: `[x, y]` each. */
  readonly between: readonly [readonly [number, number], readonly [number, number]];
  /**
   * Looks like a line's end rather than a gap: the line thins out towards it and no other end answers it, or both
   * sides are details, as of an eye and its highlight.
   */
  readonly likelyEnd: boolean;
  /** The two regions it joins, numbered as in `Leaks.closed`. */
  readonly regions: readonly [number, number];
}

export interface Leaks {
  readonly leaks: readonly Leak[];
  /** Every end of a line, whether a gap lies before it or not. */
  readonly ends: readonly LineEnd[];
  /** The regions of the paper were every gap closed. */
  readonly closed: Regions;
}

/** Side of the square, in line widths, that a detail is smaller than. */
const DETAIL = 4;

/** A gap seen from a line's end: from where the ray leaves the line to where it meets line again. */
interface Gap {
  readonly from: readonly [number, number];
  readonly to: readonly [number, number];
  readonly widthPx: number;
  /** Width of the line that ends here, px. */
  readonly linePx: number;
  readonly tapers: boolean;
  /** Pixels of paper on the straight way across, ascending. */
  readonly pixels: readonly number[];
}

/** Rays to either side of the way a line was going. */
const CONE_RAD = 1.25;
/** Nearer to straight on than this, a line ahead is what the end was meant to meet, whatever lies nearer to
 * the side. */
const AHEAD_RAD = 0.6;
const RAY_STEP_PX = 0.5;
/** Less paper than this along a ray is a step in the line's own jagged edge. A gap of one pixel is longer on a
 * slanting ray. */
const LEAST_GAP_PX = 1.1;
/** Radius of the room on each side of a leak, in gaps: a circle half as wide again as the gap must fit. */
const LEAST_ROOM = 0.75;

/**
 * Gaps up to `mostGapPx` wide. A gap begins at a line's end; closing it straight across must part two regions
 * that were one, each with more room than the gap has (trapped-ball segmentation closes gaps by size alone: Zhang
 * et al. 2009; asking for a line's end spares the narrow passages between two long lines).
 *
 * All gaps are closed at once, so an outline with several is seen as the region it is meant to enclose; then
 * they are opened from the widest down, as in a merge tree: a pocket too small to be meant is joined to its
 * neighbour, any other parting is a leak. The cost goes with the number of line ends.
 */
export function findLeaks(
  ink: Ink,
  line: Runs,
  skeleton: Skeleton,
  { mostGapPx = 12 }: { mostGapPx?: number } = {},
): Leaks {
  const ends = lineEnds(ink, skeleton);
  const gaps = distinct(ends.flatMap((end) => gapsAt(ink, end, mostGapPx)));
  const barrier = [...new Set(gaps.flatMap(({ pixels }) => pixels))].sort((a, b) => a - b);
  const closed = regionsOf(line, barrier);
  const owner = Int32Array.from({ length: closed.pieces.count }, (_, k) => k);
  const find = (region: number): number => {
    let root = region;
    while (owner[root] !== root) root = owner[root]!;
    return root;
  };
  const leaks: Leak[] = [];
  const sides = sidesOf(closed, gaps);
  for (const { gap, regions } of sides.sort((a, b) => b.gap.widthPx - a.gap.widthPx)) {
    const [a, b] = [find(regions[0]), find(regions[1])];
    if (a === b) continue;
    const rooms = roomsPx(ink, closed, gap, [a, b], find);
    if (Math.min(...rooms) < LEAST_ROOM * gap.widthPx) {
      owner[b] = a;
      continue;
    }
    const [[x0, y0], [x1, y1]] = [gap.from, gap.to];
    leaks.push({
      xPx: (x0 + x1) / 2,
      yPx: (y0 + y1) / 2,
      widthPx: gap.widthPx,
      between: [gap.from, gap.to],
      likelyEnd:
        (gap.tapers && !ends.some((end) => answers(end, gap))) ||
        regions.every((side) => closed.pieces.areaPx2[side]! < (DETAIL * gap.linePx) ** 2),
      regions,
    });
  }
  return { leaks: leaks.sort((a, b) => a.yPx - b.yPx || a.xPx - b.xPx), ends, closed };
}

/**
 * Radius of the largest circle that each of two sides holds near a gap, without touching line; px. Near: within
 * four times the gap, as what lies farther does not make a narrow passage a gap.
 */
function roomsPx(
  ink: Ink,
  closed: Regions,
  gap: Gap,
  sides: readonly [number, number],
  sideOf: (region: number) => number,
): [number, number] {
  const [cx, cy] = middleOf(gap);
  const reach = Math.ceil(4 * gap.widthPx) + 12;
  const left = Math.max(0, Math.floor(cx) - reach);
  const top = Math.max(0, Math.floor(cy) - reach);
  const width = Math.min(ink.width, Math.ceil(cx) + reach) - left;
  const height = Math.min(ink.height, Math.ceil(cy) + reach) - top;
  const coverage = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const from = (top + y) * ink.width + left;
    coverage.set(ink.coverage.subarray(from, from + width), y * width);
  }
  const { distSq } = distanceField(coverage, width, height, { reachPx: Math.ceil(gap.widthPx) + 2 });
  const { runs, pieces } = closed;
  const mostSq = [0, 0];
  for (let y = 0; y < height; y++) {
    for (let k = runs.rowStart[top + y]!; k < runs.rowStart[top + y + 1]!; k++) {
      if (runs.end[k]! <= left || runs.start[k]! >= left + width) continue;
      const side = sides.indexOf(sideOf(pieces.ofRun[k]!));
      if (side < 0) continue;
      const end = Math.min(width, runs.end[k]! - left);
      for (let x = Math.max(0, runs.start[k]! - left); x < end; x++) {
        if (distSq[y * width + x]! > mostSq[side]!) mostSq[side] = distSq[y * width + x]!;
      }
    }
  }
  return [Math.sqrt(mostSq[0]!), Math.sqrt(mostSq[1]!)];
}

/** The gap straight ahead; where nothing lies there, the nearest in a wide cone. */
function gapsAt(ink: Ink, end: LineEnd, mostGapPx: number): Gap[] {
  const reach = 2.5 * end.halfWidthPx + 3 + mostGapPx;
  const step = Math.min(0.08, 1 / reach);
  let nearest: Ray | undefined;
  let ahead: Ray | undefined;
  for (let turn = 0; turn <= CONE_RAD; turn += step) {
    for (const sign of turn === 0 ? [1] : [1, -1]) {
      const ray = cast(ink, end, end.directionRad + sign * turn, mostGapPx);
      if (ray === undefined) continue;
      const gap = ray.to - ray.from;
      if (nearest === undefined || gap < nearest.to - nearest.from - 0.25) nearest = ray;
      if (turn <= AHEAD_RAD && (ahead === undefined || gap < ahead.to - ahead.from - 0.25)) ahead = ray;
    }
  }
  const ray = ahead ?? nearest;
  if (ray === undefined) return [];
  const gap = gapAlong(ink, end, ray);
  return gap.widthPx <= mostGapPx + 0.5 ? [gap] : [];
}

interface Ray {
  readonly angleRad: number;
  /** Where the ray leaves the line and where it meets line again, px from the end. */
  readonly from: number;
  readonly to: number;
}

function cast(
  { width, height, coverage }: Ink,
  end: LineEnd,
  angleRad: number,
  mostGapPx: number,
): Ray | undefined {
  const dx = Math.cos(angleRad);
  const dy = Math.sin(angleRad);
  const leave = 2.5 * end.halfWidthPx + 3;
  let from = -1;
  for (let t = 0; t <= (from < 0 ? leave : from + mostGapPx + 1); t += RAY_STEP_PX) {
    const x = Math.floor(end.x + t * dx);
    const y = Math.floor(end.y + t * dy);
    if (x < 0 || y < 0 || x >= width || y >= height) return undefined;
    const onLine = coverage[y * width + x]! >= LINE_FROM;
    if (from < 0 && !onLine) from = t;
    else if (from >= 0 && onLine) {
      if (t - from >= LEAST_GAP_PX) return { angleRad, from, to: t };
      from = -1;
    }
  }
  return undefined;
}

/** The gap along a ray, its edges where coverage crosses one half. */
function gapAlong(ink: Ink, end: LineEnd, { angleRad, from, to }: Ray): Gap {
  const dx = Math.cos(angleRad);
  const dy = Math.sin(angleRad);
  const at = (t: number): [number, number] => [end.x + t * dx, end.y + t * dy];
  const crossing = (near: number, way: 1 | -1): number => {
    // From inside the gap towards the line, as far as two pixels into it.
    let before = coverageAt(ink, ...at(near));
    for (let t = near + 0.25 * way; Math.abs(t - near) <= 3; t += 0.25 * way) {
      const a = coverageAt(ink, ...at(t));
      if (a >= 127.5) return t - 0.25 * way * (a > before ? (a - 127.5) / (a - before) : 0);
      before = a;
    }
    return near;
  };
  const middle = (from + to) / 2;
  const first = crossing(Math.min(middle, from + 1), -1);
  const last = crossing(Math.max(middle, to - 1), 1);
  const pixels: number[] = [];
  // Half a pixel a step and both pixels of a diagonal: no 4-connected fill slips through.
  for (let t = from - 1; t <= to + 1; t += RAY_STEP_PX) {
    const [x, y] = at(t);
    const i = Math.floor(y) * ink.width + Math.floor(x);
    if (x >= 0 && y >= 0 && x < ink.width && y < ink.height && ink.coverage[i]! < LINE_FROM) pixels.push(i);
  }
  return {
    from: at(first),
    to: at(last),
    widthPx: Math.max(0, last - first),
    linePx: 2 * end.halfWidthPx,
    tapers: end.tapers,
    pixels,
  };
}

/** One gap seen from both its ends, or from both tips of a fork, is one gap: the narrowest view of it. */
function distinct(gaps: Gap[]): Gap[] {
  const kept: Gap[] = [];
  for (const gap of [...gaps].sort((a, b) => a.widthPx - b.widthPx)) {
    const same = kept.some(
      (other) =>
        (apart(gap.from, other.to) < gap.linePx + 1 && apart(gap.to, other.from) < gap.linePx + 1) ||
        apart(middleOf(gap), middleOf(other)) < 1 + 0.5 * Math.min(gap.widthPx, other.widthPx),
    );
    if (!same) kept.push(gap);
  }
  return kept;
}

/** Whether a line ends on the far side of a gap, facing it: then one line is broken there. */
function answers({ x, y, directionRad, halfWidthPx }: LineEnd, { from, to, widthPx }: Gap): boolean {
  if (Math.hypot(x - to[0], y - to[1]) > 2 * halfWidthPx + 3) return false;
  const [dx, dy] = [(from[0] - to[0]) / (widthPx || 1), (from[1] - to[1]) / (widthPx || 1)];
  return Math.cos(directionRad) * dx + Math.sin(directionRad) * dy > 0.5;
}

const middleOf = ({ from, to }: Gap): [number, number] => [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
const apart = (a: readonly [number, number], b: readonly [number, number]): number =>
  Math.hypot(a[0] - b[0], a[1] - b[1]);

/** The two regions on either side of each gap that parts any. */
function sidesOf(closed: Regions, gaps: readonly Gap[]): { gap: Gap; regions: [number, number] }[] {
  const { runs, pieces } = closed;
  const found: { gap: Gap; regions: [number, number] }[] = [];
  for (const gap of gaps) {
    const votes = new Map<number, number>();
    for (const i of gap.pixels) {
      const x = i % runs.width;
      const y = Math.floor(i / runs.width);
      for (const [dx, dy] of [
        [1, 0],
        [-1, 0],
        [0, 1],
        [0, -1],
      ] as const) {
        if (x + dx < 0 || x + dx >= runs.width || y + dy < 0 || y + dy >= runs.height) continue;
        const region = regionAt(closed, x + dx, y + dy);
        if (region >= 0) votes.set(region, (votes.get(region) ?? 0) + 1);
      }
    }
    // Three regions can meet where gaps cross; the two largest are the ones that matter.
    const [a, b] = [...votes.keys()].sort((p, q) => pieces.areaPx2[q]! - pieces.areaPx2[p]!);
    if (a !== undefined && b !== undefined) found.push({ gap, regions: [a, b] });
  }
  return found;
}
