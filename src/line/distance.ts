import { LINE_FROM } from './ink.ts';
import { Workspace } from './workspace.ts';

/** Exact squared Euclidean distance to the nearest line pixel, centre to centre. */
export interface DistanceField {
  readonly width: number;
  readonly height: number;
  /** px², rows from the top: 0 on the line; `reachPx²` where the line is `reachPx` or farther away. */
  readonly distSq: Uint16Array | Int32Array;
  readonly reachPx: number;
}

/** Farthest reach whose square still fits 16 bits. */
const NEAR_REACH_PX = 255;

/**
 * Exact distance of every pixel to the line, as squared integers, so nothing is rounded.
 *
 * Rows sweep down and up for the vertical distance, then the lower envelope of parabolas along each row
 * (Felzenszwalb & Huttenlocher 2012; integer form after Meijster, Roerdink & Hesselink 2000). Rows and
 * stretches farther than the reach from any line are skipped, which is most of a drawing.
 *
 * @param coverage `width × height` values; line where ≥ `lineFrom` (1–255).
 * @param reachPx whole px ≥ 1. Up to 255 the field takes 2 bytes a pixel, above that 4.
 *   Without line, or without a reach (Infinity), distances saturate at width + height.
 */
export function distanceField(
  coverage: Uint8Array,
  width: number,
  height: number,
  { reachPx = Infinity, lineFrom = LINE_FROM } = {},
  workspace = new Workspace(),
): DistanceField {
  const reach = Math.min(reachPx, width + height);
  const length = width * height;
  const near = reach <= NEAR_REACH_PX;
  const distSq = near ? workspace.shorts(length) : workspace.ints(length);
  const vertical = near ? workspace.bytes(length) : workspace.shorts(length);
  sweepColumns(coverage, width, height, lineFrom, reach, vertical);
  envelopeRows(vertical, width, height, reach, distSq);
  workspace.release(vertical);
  return { width, height, distSq, reachPx: reach };
}

/** Distance to the line within the column, at most `reach`. */
function sweepColumns(
  coverage: Uint8Array,
  width: number,
  height: number,
  lineFrom: number,
  reach: number,
  vertical: Uint8Array | Uint16Array,
): void {
  for (let x = 0; x < width; x++) vertical[x] = coverage[x]! >= lineFrom ? 0 : reach;
  for (let i = width; i < width * height; i++) {
    const above = vertical[i - width]!;
    vertical[i] = coverage[i]! >= lineFrom ? 0 : above < reach ? above + 1 : reach;
  }
  for (let i = width * (height - 1) - 1; i >= 0; i--) {
    const below = vertical[i + width]! + 1;
    if (below < vertical[i]!) vertical[i] = below;
  }
}

function envelopeRows(
  vertical: Uint8Array | Uint16Array,
  width: number,
  height: number,
  reach: number,
  distSq: Uint16Array | Int32Array,
): void {
  const farSq = reach * reach;
  // The parabolas of the envelope: column, squared height, and where each starts to be lowest.
  const column = new Int32Array(width + 1);
  const rise = new Int32Array(width + 1);
  const from = new Int32Array(width + 1);
  distSq.fill(farSq);
  for (let y = 0; y < height; y++) {
    const row = y * width;
    let x = 0;
    while (x < width) {
      while (x < width && vertical[row + x]! >= reach) x++;
      if (x === width) break;
      // One stretch: columns with line in reach, no two neighbours of them 2 × reach apart.
      const start = Math.max(0, x - reach + 1);
      let top = -1;
      let last = x;
      for (; x < width && x - last < 2 * reach; x++) {
        const g = vertical[row + x]!;
        if (g >= reach) continue;
        last = x;
        const g2 = g * g;
        let starts = start;
        while (top >= 0) {
          const c = column[top]!;
          // First column where the new parabola is strictly lower than the one on top of the stack.
          starts = Math.floor((x * x - c * c + g2 - rise[top]!) / (2 * (x - c))) + 1;
          if (starts > from[top]!) break;
          top--;
        }
        if (top < 0) starts = start;
        if (starts >= width) continue;
        top++;
        column[top] = x;
        rise[top] = g2;
        from[top] = starts;
      }
      const end = Math.min(width, last + reach);
      for (let k = 0; k <= top; k++) {
        const c = column[k]!;
        const g2 = rise[k]!;
        const stop = k < top ? Math.min(end, from[k + 1]!) : end;
        for (let i = from[k]!; i < stop; i++) {
          const d = (i - c) * (i - c) + g2;
          if (d < farSq) distSq[row + i] = d;
        }
      }
      x = last + 1;
      while (x < end && vertical[row + x]! >= reach) x++;
    }
  }
}
