import type { Ink } from './ink.ts';
import { coverageAt } from './nearest-ink.ts';
import { type Regions, regionAt } from './regions.ts';
import type { LineSamples } from './samples.ts';
import { median } from './statistics.ts';

/** How far over the line's edge its region is looked for, px: past the anti-aliased edge. */
const BESIDE_PX = 1.2;

/** Line samples seen from the regions beside them, one entry for each such view. */
export interface Outline {
  readonly region: Int32Array;
  readonly sample: Int32Array;
  /** The region lies on the left of the sample's tangent, as (−sin, cos) of it points: 1; or on the right: −1. */
  readonly side: Int8Array;
  /** From the middle of the line to its edge on that side, px. */
  readonly edgePx: Float64Array;
  /** Length of line that the sample stands for, px. */
  readonly lengthPx: Float64Array;
  /** Turn of the line over that length, towards the region, rad. */
  readonly turnRad: Float64Array;
}

/** Follows every line on both sides and says which region of the paper lies there; a line inside one counts twice. */
export function outlineOf(ink: Ink, regions: Regions, samples: LineSamples): Outline {
  const { x, y, tangentRad, widthPx, chainStart, chainClosed } = samples;
  const usualHalfPx = (median(widthPx) || 2) / 2;
  const outline = {
    region: new Int32Array(2 * x.length),
    sample: new Int32Array(2 * x.length),
    side: new Int8Array(2 * x.length),
    edgePx: new Float64Array(2 * x.length),
    lengthPx: new Float64Array(2 * x.length),
    turnRad: new Float64Array(2 * x.length),
  };
  let count = 0;
  for (let c = 0; c + 1 < chainStart.length; c++) {
    const first = chainStart[c]!;
    const last = chainStart[c + 1]!;
    const closed = chainClosed[c] === 1;
    for (let sample = first; sample < last; sample++) {
      const before = sample > first ? sample - 1 : closed ? last - 1 : sample;
      const after = sample + 1 < last ? sample + 1 : closed ? first : sample;
      const lengthPx = Math.hypot(x[after]! - x[before]!, y[after]! - y[before]!) / 2;
      const turn = tangentRad[after]! - tangentRad[before]!;
      const turnRad = (turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI))) / 2;
      const width = widthPx[sample]!;
      const half = width > 0 ? width / 2 : usualHalfPx;
      const sin = Math.sin(tangentRad[sample]!);
      const cos = Math.cos(tangentRad[sample]!);
      for (let side = 1; side >= -1; side -= 2) {
        const nx = -side * sin;
        const ny = side * cos;
        const edgePx = width > 0 ? half : edgeAlong(ink, x[sample]!, y[sample]!, nx, ny, half);
        const reach = edgePx + BESIDE_PX;
        const region = regionAt(
          regions,
          Math.floor(x[sample]! + reach * nx),
          Math.floor(y[sample]! + reach * ny),
        );
        if (region < 0) continue;
        outline.region[count] = region;
        outline.sample[count] = sample;
        outline.side[count] = side;
        outline.edgePx[count] = edgePx;
        outline.lengthPx[count] = lengthPx;
        outline.turnRad[count++] = side * turnRad;
      }
    }
  }
  return {
    region: outline.region.subarray(0, count),
    sample: outline.sample.subarray(0, count),
    side: outline.side.subarray(0, count),
    edgePx: outline.edgePx.subarray(0, count),
    lengthPx: outline.lengthPx.subarray(0, count),
    turnRad: outline.turnRad.subarray(0, count),
  };
}

/**
 * Area of the strip between a line and another at `offPx` beside it, towards the side that it turns to by
 * `turnRad`: e·ds − ½e²·dθ, as a turn draws its inner side together. Negative on the other side.
 */
export function stripPx2(offPx: number, lengthPx: number, turnRad: number): number {
  return offPx * lengthPx - (offPx * offPx * turnRad) / 2;
}

/** Distance from the middle to the edge of the line; at most a pixel and a half over the expected one. */
function edgeAlong(ink: Ink, x: number, y: number, nx: number, ny: number, expected: number): number {
  let before = 255;
  const start = Math.max(0, expected - 1.5);
  for (let t = start; t <= expected + 1.5; t += 0.25) {
    const a = coverageAt(ink, x + t * nx, y + t * ny);
    if (a < 127.5) {
      return t === start ? expected : t - (0.25 * (127.5 - a)) / Math.max(1, before - a);
    }
    before = a;
  }
  return expected;
}
