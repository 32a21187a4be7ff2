import { isRefused } from '../line/refused.ts';
import type { Drawing, Level } from '../shot/model.ts';
import { type ChartedPart, charted } from './charted.ts';
import type { ShotMeasures } from './checker.ts';
import { betweenKey, boilPartner, measureKey, type Results } from './jobs.ts';

/** A drawing with whatever was measured of it. */
export interface Measured {
  readonly drawing: Drawing;
  readonly measures: Results['drawing'] | undefined;
  /** Of what lies in no part that the chart names. */
  readonly spacing: Results['spacing'] | undefined;
  /** Those parts, each by itself. */
  readonly chartParts?: readonly ChartedPart[];
  readonly boil: Results['boil'] | undefined;
  /** Why its image could not be measured. */
  readonly failed: string | undefined;
}

/** The measures of a level, drawing by drawing, in label order. */
export function measuredOf(level: Level, { results, failed }: ShotMeasures, mostGapPx: number): Measured[] {
  const byLabel = new Map(level.drawings.map((drawing) => [drawing.label, drawing]));
  return level.drawings.map((drawing) => {
    const key = measureKey(drawing, mostGapPx);
    const chart = drawing.runsOn ? undefined : drawing.chart;
    const from = chart && byLabel.get(chart.from);
    const to = chart && byLabel.get(chart.to);
    const before = boilPartner(level, drawing);
    const get = (wanted: string | undefined) => (wanted === undefined ? undefined : results.get(wanted));
    const measures = get(key) as Measured['measures'];
    const whole = get(from && to && betweenKey('spacing', [from, to, drawing])) as Measured['spacing'];
    const { spacing, parts } =
      chart && whole && measures ? charted(whole, chart, measures.sizePx) : { spacing: whole, parts: [] };
    return {
      drawing,
      measures,
      spacing,
      ...(parts.length > 0 && { chartParts: parts }),
      boil: get(before && betweenKey('boil', [before, drawing])) as Measured['boil'],
      failed: key === undefined ? undefined : failed.get(key),
    };
  });
}

/** Median line weight of the keys (of all drawings where no key is measured), px. */
export function keysWeightPx(level: readonly Measured[]): number | undefined {
  const widths = (only: (drawing: Drawing) => boolean) =>
    level.flatMap(({ drawing, measures }) =>
      only(drawing) && measures && !isRefused(measures.weight) ? measures.weight.medianPx : [],
    );
  const keys = widths(({ role }) => role === 'key');
  return middleWeightPx(keys.length > 0 ? keys : widths(() => true));
}

/** The one in the middle; of two the smaller, so that it is one of them. */
export function middleWeightPx(weights: readonly number[]): number | undefined {
  const sorted = [...weights].sort((p, q) => p - q);
  return sorted[(sorted.length - 1) >> 1];
}

/**
 * Whether a small thing stands at about the same place in most drawings near this one: an eye dot, a freckle,
 * a fold that ends short of its outline, drawn on purpose. Places are also taken against the drawing's own
 * box, which moves with it.
 */
export function recursNearby(
  [x, y]: readonly [number, number],
  own: Results['drawing'],
  all: readonly Measured[],
  withinPx: number,
  placesIn: (measures: Results['drawing']) => readonly (readonly [number, number])[],
): boolean {
  const index = all.findIndex(({ measures }) => measures === own);
  const near = all
    .slice(Math.max(0, index - 3), index + 4)
    .flatMap(({ measures }) => (measures && measures !== own ? measures : []));
  const twins = near.filter((measures) => {
    const [dx, dy] = [measures.inkBox[0] - own.inkBox[0], measures.inkBox[1] - own.inkBox[1]];
    return placesIn(measures).some(
      ([ox, oy]) => Math.min(Math.hypot(ox - x, oy - y), Math.hypot(ox - dx - x, oy - dy - y)) <= withinPx,
    );
  });
  return near.length > 0 && twins.length >= near.length / 2;
}
