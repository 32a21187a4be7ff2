import { type Ink, LINE_FROM } from './ink.ts';
import { coverageAt } from './nearest-ink.ts';
import type { InkMap } from './reduce.ts';
import { PATH_END, type Skeleton } from './skeleton.ts';
import { median } from './statistics.ts';

/** Where a line stops. */
export interface LineEnd {
  /** In the middle of the line, about half its width inside the tip. */
  readonly x: number;
  readonly y: number;
  /** The way the line was going. */
  readonly directionRad: number;
  readonly halfWidthPx: number;
  /** The line thins out towards its tip, as when a pen is lifted: under `TAPERED` of the drawing's usual width there. */
  readonly tapers: boolean;
}

/**
 * Lines cut, butt or round, are at least 0.9 of their width a half-width before the tip; those of a lifted pen 0.25 to 0.5
 * (both over some 40 ends of drawn line, 5 px wide). Raising it takes dry, broken line for line that was meant to end.
 */
const TAPERED = 0.6;

/** A line is at most twice this wide; more is a solid black. */
const MOST_HALF_WIDTH_PX = 48;
/** Coverage under which a line's anti-aliased edge is over. */
const FAINT = 24;

/**
 * The ends of the drawing's lines. A thick line cut straight has a forked skeleton: two short spurs to its
 * corners; the fork is the end then. A spur on the side of a line is no end, nor is a dot.
 */
export function lineEnds(ink: Ink, skeleton: Skeleton): LineEnd[] {
  const { pixels, pathStart, pathEnds } = skeleton;
  const paths = pathStart.length - 1;
  const column = (i: number): number => i % ink.width;
  const row = (i: number): number => Math.floor(i / ink.width);
  const lengthOf = (p: number): number => pathStart[p + 1]! - pathStart[p]!;
  const halfWidths = new Map<number, number>();
  const halfWidthAt = (i: number): number => {
    const known = halfWidths.get(i) ?? nearestPaperPx(ink, column(i), row(i));
    halfWidths.set(i, known);
    return known;
  };
  const usualPx = usualHalfWidthPx(pixels, halfWidthAt);
  const nodePixel = (p: number, side: number): number =>
    pixels[side === 0 ? pathStart[p]! : pathStart[p + 1]! - 1]!;
  /** No longer than the line is wide there: a twig of the skeleton, not a stroke. */
  const isSpur = (p: number): boolean =>
    lengthOf(p) <= 1.6 * Math.max(usualPx, halfWidthAt(nodePixel(p, stem(p)))) + 2;
  /** The side of a one-ended path at which it joins others. */
  const stem = (p: number): 0 | 1 => (pathEnds[2 * p] === PATH_END.junction ? 0 : 1);

  const ends: LineEnd[] = [];
  const push = (p: number, side: number): void => {
    const inward = (steps: number): number => {
      const back = Math.min(lengthOf(p) - 1, Math.ceil(steps));
      return pixels[side === 0 ? pathStart[p]! + back : pathStart[p + 1]! - 1 - back]!;
    };
    const halfWidthPx = Math.max(halfWidthAt(inward(0)), halfWidthAt(inward(2 * usualPx)));
    // Where a line is cut straight its skeleton bends into a corner: begin before the bend.
    const bent = Math.max(0, halfWidthPx - halfWidthAt(inward(0)));
    const tip = inward(1.2 * bent);
    const from = inward(1.2 * bent + Math.max(5, 2 * halfWidthPx));
    const directionRad = Math.atan2(row(tip) - row(from), column(tip) - column(from));
    const [near, back] = [inward(usualPx), inward(usualPx + 4)];
    const alongRad =
      near === back ? directionRad : Math.atan2(row(near) - row(back), column(near) - column(back));
    const nearPx = widthAcross(ink, column(near) + 0.5, row(near) + 0.5, alongRad + Math.PI / 2);
    const tapers = nearPx < TAPERED * 2 * usualPx;
    ends.push({ x: column(tip) + 0.5, y: row(tip) + 0.5, directionRad, halfWidthPx, tapers });
  };

  const forks: { at: number; reach: number }[] = [];
  const spurs = new Set<number>();
  for (let p = 0; p < paths; p++) {
    const kinds = [pathEnds[2 * p]!, pathEnds[2 * p + 1]!];
    const open = kinds.filter((kind) => kind === PATH_END.lineEnd).length;
    if (open === 0) continue;
    if (open === 2) {
      if (lengthOf(p) <= 2 * halfWidthAt(nodePixel(p, 0)) + 2) continue;
      push(p, 0);
      push(p, 1);
    } else if (isSpur(p)) {
      spurs.add(p);
      const at = nodePixel(p, stem(p));
      forks.push({ at, reach: Math.max(usualPx, halfWidthAt(at)) + 2 });
    } else {
      push(p, 1 - stem(p));
    }
  }
  for (const { at, reach } of forks) {
    const strokes: [path: number, side: number][] = [];
    for (let p = 0; p < paths; p++) {
      if (spurs.has(p)) continue;
      // Between the junctions of one fork lie paths of a pixel or two.
      if (pathEnds[2 * p] === PATH_END.junction && lengthOf(p) <= reach) continue;
      for (const side of [0, 1]) {
        if (pathEnds[2 * p + side] !== PATH_END.junction) continue;
        const node = nodePixel(p, side);
        const apart = Math.hypot(column(node) - column(at), row(node) - row(at));
        if (apart <= reach) strokes.push([p, side]);
      }
    }
    if (strokes.length === 1) push(...strokes[0]!);
  }
  return ends;
}

/** Median over a few hundred places of the skeleton. */
function usualHalfWidthPx(pixels: Int32Array, halfWidthAt: (i: number) => number): number {
  const step = Math.max(1, Math.floor(pixels.length / 200));
  return median(pixels.filter((_, k) => k % step === 0).map((i) => Math.round(8 * halfWidthAt(i)))) / 8 || 1;
}

/** Width of the line through a place along a normal, px: coverage summed to the first paper on either side. */
export function widthAcross(ink: InkMap, x: number, y: number, normalRad: number): number {
  const [nx, ny] = [Math.cos(normalRad), Math.sin(normalRad)];
  const step = 0.25;
  let sum = 0;
  for (const side of [1, -1]) {
    for (let t = step / 2; t < MOST_HALF_WIDTH_PX; t += step) {
      const a = coverageAt(ink, x + side * t * nx, y + side * t * ny);
      if (a < FAINT && t > 1) break;
      sum += (a / 255) * step;
    }
  }
  return sum;
}

/** Distance from a pixel of line to the nearest paper, px, by rings of growing size. */
function nearestPaperPx({ width, height, coverage }: Ink, cx: number, cy: number): number {
  let bestSq = MOST_HALF_WIDTH_PX ** 2;
  for (let ring = 1; ring * ring < bestSq; ring++) {
    for (let dy = -ring; dy <= ring; dy++) {
      const step = Math.abs(dy) === ring ? 1 : 2 * ring;
      for (let dx = -ring; dx <= ring; dx += step) {
        const x = cx + dx;
        const y = cy + dy;
        const inside = x >= 0 && y >= 0 && x < width && y < height;
        if (inside && coverage[y * width + x]! >= LINE_FROM) continue;
        bestSq = Math.min(bestSq, dx * dx + dy * dy);
      }
    }
  }
  return Math.sqrt(bestSq);
}
