import { type LineEnd, widthAcross } from '../line-ends.ts';
import { coverageAt } from '../nearest-ink.ts';
import type { InkMap } from '../reduce.ts';
import { isBinary, mostCovered } from '../reweight/reweigh.ts';
import { median } from '../statistics.ts';
import { boxOf, type Mend } from './mend.ts';

type Point = readonly [x: number, y: number];

/** Half covered: the line's edge. */
const EDGE = 127.5;
/** Farther into a line than this its far side is not looked for, px. */
const MOST_LINE_PX = 96;

/** Where the stroke begins: the middle of the line, and half its width there, px. */
interface Root {
  readonly x: number;
  readonly y: number;
  readonly halfPx: number;
}

/**
 * The gap closed by a straight stroke from line to line, as wide as the line that ends there (from one width to the
 * other where both sides end), each pixel in the colour of the nearer side. Undefined where nothing is to be drawn.
 *
 * @param between the gap's two edges, as `findLeaks` gives them; px.
 * @param ends the drawing's line ends.
 */
export function closeGap(
  ink: InkMap,
  [from, to]: readonly [Point, Point],
  ends: readonly LineEnd[],
): Mend | undefined {
  // At a corner cut through, both edges lie near the one end; a gap begins at `from`.
  const one = endAt(ends, from);
  const other = endAt(
    ends.filter((end) => end !== one),
    to,
  );
  const ending = one ?? other;
  const own = ending && halfWidthPx(ink, ending);
  const first = rootOf(ink, from, to, one, own);
  const last = rootOf(ink, to, from, other, own);
  const { width, height, coverage } = ink;
  const binary = isBinary(coverage);
  const reach = Math.max(first.halfPx, last.halfPx) + 1;
  const left = Math.max(0, Math.floor(Math.min(first.x, last.x) - reach));
  const right = Math.min(width - 1, Math.ceil(Math.max(first.x, last.x) + reach));
  const top = Math.max(0, Math.floor(Math.min(first.y, last.y) - reach));
  const bottom = Math.min(height - 1, Math.ceil(Math.max(first.y, last.y) + reach));
  const sources = [colourNear(ink, first), colourNear(ink, last)] as const;
  const pixels: number[] = [];
  const after: number[] = [];
  const colourFrom: number[] = [];
  for (let y = top; y <= bottom; y++) {
    for (let x = left; x <= right; x++) {
      const { sidePx, along } = stroke([x + 0.5, y + 0.5], first, last);
      const exact = Math.min(1, Math.max(0, 0.5 - sidePx));
      const c = binary ? (exact >= 0.5 ? 255 : 0) : Math.round(255 * exact);
      const i = y * width + x;
      if (c <= coverage[i]!) continue;
      pixels.push(i);
      after.push(c);
      colourFrom.push(sources[along < 0.5 ? 0 : 1]);
    }
  }
  const box = boxOf(pixels, width);
  return (
    box && {
      kind: 'gap',
      box,
      change: {
        width,
        height,
        pixels: Int32Array.from(pixels),
        coverage: Uint8Array.from(after),
        colourFrom: Int32Array.from(colourFrom),
      },
    }
  );
}

/** The line end whose tip an edge of the gap is. */
function endAt(ends: readonly LineEnd[], [x, y]: Point): LineEnd | undefined {
  let best: LineEnd | undefined;
  let nearest = Infinity;
  for (const end of ends) {
    const apart = Math.hypot(end.x - x, end.y - y);
    if (apart > 1.5 * end.halfWidthPx + 3 || apart >= nearest) continue;
    nearest = apart;
    best = end;
  }
  return best;
}

/** Of the line a little before its end: at the tip itself it is round, or soft. In half widths from there. */
const BEFORE_END = [1, 1.5, 2] as const;

function halfWidthPx(ink: InkMap, { x, y, directionRad, halfWidthPx }: LineEnd): number {
  const widths = BEFORE_END.map((times) => {
    const back = times * halfWidthPx;
    const [px, py] = [x - back * Math.cos(directionRad), y - back * Math.sin(directionRad)];
    return widthAcross(ink, px, py, directionRad + Math.PI / 2);
  });
  // Where other lines come near, what is across is not this line alone.
  return Math.min(halfWidthPx, median(widths) / 2);
}

function rootOf(
  ink: InkMap,
  [x, y]: Point,
  beyond: Point,
  end: LineEnd | undefined,
  ownHalfPx: number | undefined,
): Root {
  if (end) return { x: end.x, y: end.y, halfPx: halfWidthPx(ink, end) };
  // The side of another line: the stroke goes into its middle, so that its round cap stays within it.
  const length = Math.hypot(x - beyond[0], y - beyond[1]) || 1;
  const [dx, dy] = [(x - beyond[0]) / length, (y - beyond[1]) / length];
  let depth = 0.5;
  while (depth < MOST_LINE_PX && coverageAt(ink, x + depth * dx, y + depth * dy) >= EDGE) depth += 0.5;
  const halfPx = Math.min(ownHalfPx ?? depth / 2, Math.max(0.5, depth / 2));
  return { x: x + halfPx * dx, y: y + halfPx * dy, halfPx: ownHalfPx ?? halfPx };
}

/** How far a place lies outside of the stroke (negative: within it), and how far along it is, 0–1. */
function stroke([x, y]: Point, a: Root, b: Root): { readonly sidePx: number; readonly along: number } {
  const [dx, dy] = [b.x - a.x, b.y - a.y];
  const lengthSq = dx * dx + dy * dy || 1;
  const along = Math.min(1, Math.max(0, ((x - a.x) * dx + (y - a.y) * dy) / lengthSq));
  const px = Math.hypot(x - a.x - along * dx, y - a.y - along * dy);
  return { sidePx: px - (a.halfPx + along * (b.halfPx - a.halfPx)), along };
}

function colourNear(ink: InkMap, { x, y }: Root): number {
  const column = Math.min(ink.width - 1, Math.max(0, Math.floor(x)));
  const row = Math.min(ink.height - 1, Math.max(0, Math.floor(y)));
  return mostCovered(ink, row * ink.width + column);
}
