import { meantOpen } from '../line/in-rough.ts';
import { isRefused, type Refused } from '../line/refused.ts';
import type { Measured } from './measured.ts';

/**
 * Enclosed area of an in-between relative to what its two extremes have at its place between them: 1 is equal.
 * Squash and stretch keep area; a line left open in any of the three does not, so then it is refused.
 */
export function againstExtremes(
  { drawing, measures }: Measured,
  level: readonly Measured[],
): number | Refused {
  const { chart } = drawing;
  if (drawing.runsOn) return { refused: 'it runs on after the pose, held to no chart' };
  if (!chart) return { refused: 'no chart says which extremes it lies between' };
  const own = measures && enclosed(measures);
  if (own === undefined) return { refused: 'its lines do not all close' };
  const areas: number[] = [];
  for (const label of [chart.from, chart.to]) {
    const extreme = level.find(({ drawing: other }) => other.label === label)?.measures;
    const area = extreme && enclosed(extreme);
    if (area === undefined)
      return { refused: extreme ? `the lines of ${label} do not all close` : `${label} is not measured` };
    areas.push(area);
  }
  return own / ((1 - chart.fraction) * areas[0]! + chart.fraction * areas[1]!);
}

function enclosed({ volume, leaks }: NonNullable<Measured['measures']>): number | undefined {
  const closes = !isRefused(leaks) && leaks.every(meantOpen);
  return isRefused(volume) || !closes ? undefined : volume.enclosedPx2;
}
