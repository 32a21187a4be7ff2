import type { Ink } from './ink.ts';
import { stripPx2, walkOutlines } from './outline.ts';
import type { Refused } from './refused.ts';
import { type Regions, regionAt } from './regions.ts';
import type { LineSamples } from './samples.ts';
import type { Volume } from './volume.ts';

/** This share of a region's outline must have rough line near, or the rough does not draw that region. */
const LEAST_DRAWN = 0.7;

export interface AgainstRough {
  /** Area relative to the rough's, 1 = equal, over all regions that the rough draws too. */
  readonly whole: number | Refused;
  /** The same, region by region; `undefined` where the rough draws no such region. */
  readonly regions: readonly (number | undefined)[];
}

/**
 * Areas of a clean drawing's regions relative to its rough's. The rough's own regions say little: its strokes
 * part them, its construction cuts them up and its outlines need not close. So the clean outline is moved, point
 * by point, onto the middle of the rough's line beside it, and the strip between the two is the difference.
 * `acrossPx` is that distance along the left normal (−sin, cos) of each sample, NaN where no rough line is near.
 */
export function volumeAgainstRough(
  clean: Volume,
  ink: Ink,
  regions: Regions,
  samples: LineSamples,
  acrossPx: Float32Array,
): AgainstRough {
  const insideRoughPx2 = new Float64Array(regions.pieces.count);
  const drawnPx = new Float64Array(regions.pieces.count);
  const outlinePx = new Float64Array(regions.pieces.count);
  walkOutlines(ink, regions, samples, ({ region, sample, side, lengthPx, turnRad }) => {
    outlinePx[region]! += lengthPx;
    const offPx = side * acrossPx[sample]!;
    if (Number.isNaN(offPx)) return;
    drawnPx[region]! += lengthPx;
    insideRoughPx2[region]! += stripPx2(offPx, lengthPx, turnRad);
  });
  let [cleanPx2, roughPx2] = [0, 0];
  const ratios = clean.regions.map(({ areaPx2, inside }) => {
    const region = regionAt(regions, ...inside);
    const own = areaPx2 - insideRoughPx2[region]!;
    if (drawnPx[region]! < LEAST_DRAWN * outlinePx[region]! || own < areaPx2 / 2 || own > 2 * areaPx2)
      return undefined;
    cleanPx2 += areaPx2;
    roughPx2 += own;
    return areaPx2 / own;
  });
  const none = { refused: 'The rough draws none of the same regions.' };
  return { whole: roughPx2 > 0 ? cleanPx2 / roughPx2 : none, regions: ratios };
}
