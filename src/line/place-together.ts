/** How far the patches of a drawing agree on one place between two others. */
import type { Refused } from './refused.ts';
import { weightedMedian } from './statistics.ts';

/** Where one patch lies. */
export interface PatchPlace {
  /** 0 at the first drawing, 1 at the second. */
  readonly fraction: number;
  /** Standard error of the fraction, from the two fits. */
  readonly error: number;
  readonly movePx: number;
  readonly offPathPx: number;
  readonly weight: number;
}

export interface Together {
  readonly measured: number;
  /** How sure that is: its standard error, from the fits and from how far the patches agree. */
  readonly error: number;
  /** Median distance from the straight path between the two, px: an arc, or a stray. */
  readonly offPathPx: number;
  readonly movePx: number;
}

/** Where a second set of patches weighs this much against the first, either may be the drawing's own place. */
const MOST_APART = 0.8;
/** The same where either set is looser than this: a part with a timing of its own agrees with itself. */
const APART_IF_LOOSE = 0.55;
const LOOSE = 0.0135;
/** Patches whose fractions differ by less than this move together. Lower splits noise into parts. */
export const TOGETHER = 0.06;

/** The one place of most of the readings (one at least); refused where two halves lie at two, or where it is less sure than `mostError`. */
export function placeTogether(moving: readonly PatchPlace[], mostError: number): Together | Refused {
  const together = mostTogether(moving);
  const runnerUp = mostTogether(moving.filter((reading) => !together.includes(reading)));
  const loose = [together, runnerUp].some((set) => set.length > 0 && errorOf(set, placeOf(set)) > LOOSE);
  if (weightOf(runnerUp) > (loose ? APART_IF_LOOSE : MOST_APART) * weightOf(together)) {
    const places = [together, runnerUp].map((set) => placeOf(set).toFixed(2));
    return {
      refused: `about half of it lies at ${places.join(' and about half at ')}, so it has no one place`,
    };
  }
  const place = placeOfSet(together);
  return place.error > mostError ? unsure(place) : place;
}

export const unsure = ({ error }: Together): Refused => ({
  refused: `its place is sure only to ±${error.toFixed(2)}`,
});

/** Of readings that are taken to lie at one place. */
export function placeOfSet(set: readonly PatchPlace[]): Together {
  const measured = placeOf(set);
  const weights = set.map(({ weight }) => weight);
  const middle = (values: readonly number[]) => weightedMedian(values, weights);
  return {
    measured,
    error: errorOf(set, measured),
    offPathPx: middle(set.map(({ offPathPx }) => offPathPx)),
    movePx: middle(set.map(({ movePx }) => movePx)),
  };
}

const weightOf = (readings: readonly PatchPlace[]): number =>
  readings.reduce((sum, { weight }) => sum + weight, 0);

export function placeOf(readings: readonly PatchPlace[]): number {
  return weightedMedian(
    readings.map(({ fraction }) => fraction),
    readings.map(({ weight }) => weight),
  );
}

/**
 * Standard error of a place: that of the middle fit, and half the spread of the readings. Patches overlap and share
 * their mistakes, so many of them make neither much surer.
 */
export function errorOf(readings: readonly PatchPlace[], place: number): number {
  const ofFit = weightedMedian(
    readings.map(({ error }) => error),
    readings.map(({ weight }) => weight),
  );
  const square = readings.reduce((sum, { weight, fraction }) => sum + weight * (fraction - place) ** 2, 0);
  return Math.hypot(ofFit, Math.sqrt(square / weightOf(readings)) / 2);
}

/** The weightiest set of readings with one fraction: the drawing's own timing when a part has another. */
export function mostTogether<R extends PatchPlace>(readings: readonly R[]): R[] {
  let best: R[] = [];
  let bestWeight = -1;
  for (const { fraction } of readings) {
    const near = readings.filter((reading) => Math.abs(reading.fraction - fraction) <= TOGETHER);
    const weight = near.reduce((sum, reading) => sum + reading.weight, 0);
    if (weight > bestWeight) [best, bestWeight] = [near, weight];
  }
  return best;
}
