import { coverageAt, DRAWN_FROM } from './nearest-ink.ts';
import type { PointIndex } from './point-index.ts';
import type { InkMap } from './reduce.ts';
import { movingMedian, quantile } from './statistics.ts';

/** How far the rough's own strokes stray, told by how far they lie apart. Lengths in px of the rough. */
export interface Looseness {
  /** Over the whole drawing, root mean square; 0 for a rough of single lines. */
  readonly strayPx: number;
  /** At each clean point: the drawing's, unless the strokes round it are clearly looser or tighter. */
  readonly atPx: Float32Array;
  /**
   * From a point to the middle of its own strokes where all lie to one side; 0 where they lie to both, NaN where it
   * has none.
   */
  readonly middlePx: Float32Array;
}

/**
 * Range of three values over their standard deviation, on average (Tippett 1925, as in control charts; from
 * memory): a rough has two to four strokes side by side, for which it is 1.13 to 2.06.
 */
const RANGE_OF_THREE = 1.69;
/** Samples from one look across the line to the next. */
const STRIDE = 3;
const STEP_PX = 0.5;
/** The widest tenth are places where a line without a clean one, or construction, runs along. */
const KEPT = 0.9;
/** Strokes of one line lie no farther to either side of their middle than this many times their stray. */
const MOST_HALF = 1.2;
/** The few strokes round a place seem looser or tighter than the drawing by chance up to this factor. */
const BY_CHANCE = 1.6;
/** However tight they seem, the hand that drew them was as loose as this share of the drawing's. */
const LEAST = 0.75;
/** Ink that another clean line is nearer to than this share of its distance belongs to that line. */
const OWN = 0.8;

/**
 * Looks across the clean line every few px: the rough's strokes that belong to this line and to no other, and how
 * far apart the outermost lie. `reachPx` to either side; `roundPx` is how far along and about a place its strokes
 * speak for it.
 */
export function loosenessOf(
  at: { readonly x: Float32Array; readonly y: Float32Array; readonly tangentRad: Float32Array },
  chainStart: Uint32Array,
  cleanIndex: PointIndex,
  rough: InkMap,
  { reachPx, roundPx, stepPx, linePx }: { reachPx: number; roundPx: number; stepPx: number; linePx: number },
): Looseness {
  const { x, y, tangentRad } = at;
  const apart = new Float32Array(x.length).fill(Number.NaN);
  const low = new Float32Array(x.length).fill(Number.NaN);
  const widths: number[] = [];
  for (let i = 0; i < x.length; i += STRIDE) {
    const [nx, ny] = [-Math.sin(tangentRad[i]!), Math.cos(tangentRad[i]!)];
    let [first, last] = [Infinity, -Infinity];
    let from = Number.NaN;
    for (let t = -reachPx; t <= reachPx + STEP_PX; t += STEP_PX) {
      const inked = t <= reachPx && coverageAt(rough, x[i]! + t * nx, y[i]! + t * ny) >= DRAWN_FROM;
      if (inked && Number.isNaN(from)) from = t;
      if (inked || Number.isNaN(from)) continue;
      const [middle, width] = [(from + t - STEP_PX) / 2, t - from];
      const other = cleanIndex.nearest(x[i]! + middle * nx, y[i]! + middle * ny, OWN * Math.abs(middle) - 1);
      if (Math.abs(middle) <= 2 || other < 0) {
        widths.push(width);
        first = Math.min(first, from);
        last = Math.max(last, t - STEP_PX);
      }
      from = Number.NaN;
    }
    if (last >= first) [low[i], apart[i]] = [first, last - first];
  }
  // The narrowest that are no slivers are single strokes; none is wider than the final line.
  const strokePx = Math.min(linePx, quantile(widths, 0.08) || 0);
  for (let i = 0; i < x.length; i += STRIDE) {
    low[i]! += (strokePx - STEP_PX) / 2;
    apart[i] = Math.max(0, apart[i]! - strokePx + STEP_PX);
  }
  const strayPx = meanUpTo(apart, quantile(apart, KEPT)) / RANGE_OF_THREE || 0;
  const atPx = new Float32Array(x.length).fill(strayPx);
  const middlePx = new Float32Array(x.length).fill(Number.NaN);
  const reach = Math.round(roundPx / stepPx);
  const medianOf = movingMedian(apart);
  for (let c = 0; c + 1 < chainStart.length; c++) {
    const [first, end] = [chainStart[c]!, chainStart[c + 1]!];
    for (let i = first; i < end; i++) {
      if (i > first && i % STRIDE > 0) {
        atPx[i] = atPx[i - 1]!;
        middlePx[i] = middlePx[i - 1]!;
        continue;
      }
      const here = medianOf(Math.max(first, i - reach), Math.min(end, i + reach)) / RANGE_OF_THREE;
      if (!Number.isNaN(here))
        atPx[i] = Math.max(
          LEAST * strayPx,
          Math.min(Math.max(strayPx, here / BY_CHANCE), 2 * strayPx + 1, here * BY_CHANCE),
        );
      if (i % STRIDE > 0) continue;
      const [near, far] = [low[i]!, low[i]! + apart[i]!];
      middlePx[i] =
        near < 0 && far > 0
          ? 0
          : Math.min(
              Math.abs(near + far) / 2,
              Math.min(Math.abs(near), Math.abs(far)) + MOST_HALF * atPx[i]!,
            );
    }
  }
  return { strayPx, atPx, middlePx };
}

function meanUpTo(values: Float32Array, most: number): number {
  let [sum, count] = [0, 0];
  for (const value of values) {
    if (!(value <= most)) continue;
    sum += value;
    count++;
  }
  return sum / count;
}
