import type { Refused } from './refused.ts';
import type { LineSamples } from './samples.ts';
import { quantileWithin } from './statistics.ts';

/** A line this many times the median width is a solid black, not a line. */
const SOLID_TIMES = 3;

/** Length of line under which a median says nothing, px. */
const LEAST_PX = 16;

/** Line weight of a drawing, px. A tenth of the line is thinner than `p10Px`, a tenth wider than `p90Px`. */
export interface Weight {
  readonly medianPx: number;
  readonly p10Px: number;
  readonly p90Px: number;
  /** Length of line the figures stand on, px. */
  readonly measuredPx: number;
}

/** The spread of widths over all samples of a drawing; solid blacks are left out. */
export function measureWeight({ widthPx, stepPx }: LineSamples): Weight | Refused {
  const widths = widthPx.filter((w) => w > 0);
  if (widths.length * stepPx < LEAST_PX) {
    return { refused: 'No stretch of line is long enough to measure its weight.' };
  }
  const limit = SOLID_TIMES * quantileWithin(widths, 0.5);
  const line = widths.filter((w) => w <= limit);
  return {
    medianPx: quantileWithin(line, 0.5),
    p10Px: quantileWithin(line, 0.1),
    p90Px: quantileWithin(line, 0.9),
    measuredPx: line.length * stepPx,
  };
}
