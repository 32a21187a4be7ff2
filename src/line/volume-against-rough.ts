import { type Outline, stripPx2 } from './outline.ts';
import type { Refused } from './refused.ts';
import { type Regions, regionAt } from './regions.ts';
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
  regions: Regions,
  { region, sample, side, lengthPx, turnRad }: Outline,
  acrossPx: Float32Array,
): AgainstRough {
  const insideRoughPx2 = new Float64Array(regions.pieces.count);
  const drawnPx = new Float64Array(regions.pieces.count);
  const outlinePx = new Float64Array(regions.pieces.count);
  for (let k = 0; k < region.length; k++) {
    outlinePx[region[k]!]! += lengthPx[k]!;
    const offPx = side[k]! * acrossPx[sample[k]!]!;
    if (Number.isNaN(offPx)) continue;
    drawnPx[region[k]!]! += lengthPx[k]!;
    insideRoughPx2[region[k]!]! += stripPx2(offPx, lengthPx[k]!, turnRad[k]!);
  }
  let [cleanPx2, roughPx2] = [0, 0];
  const ratios = clean.regions.map(({ areaPx2, inside }) => {
    const at = regionAt(regions, ...inside);
    const own = areaPx2 - insideRoughPx2[at]!;
    if (drawnPx[at]! < LEAST_DRAWN * outlinePx[at]! || own < areaPx2 / 2 || own > 2 * areaPx2)
      return undefined;
    cleanPx2 += areaPx2;
    roughPx2 += own;
    return areaPx2 / own;
  });
  const none = { refused: 'The rough draws none of the same regions.' };
  return { whole: roughPx2 > 0 ? cleanPx2 / roughPx2 : none, regions: ratios };
}
