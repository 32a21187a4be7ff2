/** Quantiles by selection against their definition: linear between order statistics (Hyndman & Fan 1996, type 7). */
import { expect, test } from 'vitest';
import { median, movingMedian, quantile, quantileWithin } from '../../../src/line/statistics.ts';
import { seeded } from '../../support/line-masks.ts';

function bySorting(values: readonly number[], q: number): number {
  const sorted = values.filter((v) => !Number.isNaN(v)).sort((a, b) => a - b);
  const at = q * (sorted.length - 1);
  const low = Math.floor(at);
  const [below, above] = [sorted[low]!, sorted[Math.min(low + 1, sorted.length - 1)]!];
  return below + (at - low) * (above - below);
}

test('any quantile of any set is what sorting gives, equal values and NaN among them', () => {
  const random = seeded(5);
  for (let round = 0; round < 400; round++) {
    const levels = round % 2 === 0 ? 4 : 1e6;
    const values = Array.from({ length: 1 + Math.floor(random() * 60) }, () =>
      random() < 0.1 ? Number.NaN : Math.floor(random() * levels) - 2,
    );
    if (values.every((v) => Number.isNaN(v))) continue;
    for (const q of [0, 0.1, 0.5, 0.75, 0.95, 1]) expect(quantile(values, q)).toBe(bySorting(values, q));
  }
});

test.each([
  ['rising', (i: number) => i],
  ['falling', (i: number) => -i],
  ['all equal', () => 7],
  ['a peak', (i: number) => -Math.abs(i - 500)],
])('a long set that is %s is selected from as well', (_, at) => {
  const values = Array.from({ length: 1000 }, (_, i) => at(i));
  expect(median(values)).toBe(bySorting(values, 0.5));
  expect(quantileWithin(Float32Array.from(values), 0.9)).toBeCloseTo(bySorting(values, 0.9), 3);
});

test('of nothing there is no quantile', () => {
  expect(quantile([], 0.5)).toBeNaN();
  expect(median([Number.NaN])).toBeNaN();
});

test('the median of a stretch that moves on, jumps and goes back is that of its values sorted', () => {
  const random = seeded(8);
  for (let round = 0; round < 60; round++) {
    const values = Float32Array.from({ length: 80 }, () =>
      random() < 0.5 ? Number.NaN : Math.floor(random() * 9),
    );
    const medianOf = movingMedian(values);
    for (
      let from = 0;
      from < 80;
      from += random() < 0.1 ? -Math.floor(from / 2) : Math.floor(random() * 12)
    ) {
      const to = Math.min(80, from + Math.floor(random() * 25));
      const wanted = bySorting([...values.subarray(from, to)], 0.5);
      if (Number.isNaN(wanted)) expect(medianOf(from, to)).toBeNaN();
      else expect(medianOf(from, to)).toBe(wanted);
      if (random() < 0.02) break;
    }
  }
});
