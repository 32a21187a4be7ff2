import { expect, test } from 'vitest';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import { driftScale, stepCount, stretches, weightScale } from '../../../src/desk/checks/heat.ts';
import { samplesOf } from '../../support/samples-of.ts';

test('the weight scale stands about the keys, and its quiet steps are those within tolerance', () => {
  // 14 % of 5 px is 0.7 px: the band of what passes is 4.3 to 5.7 px.
  const { boundsPx, quiet } = weightScale(5, { ...defaultTolerances, weight: 0.14 });
  const [low, high] = [boundsPx[(quiet[0] ?? 0) - 1], boundsPx[quiet.at(-1) ?? 0]];
  expect(low).toBeCloseTo(4.3, 9);
  expect(high).toBeCloseTo(5.7, 9);
  expect(boundsPx).toEqual(boundsPx.toSorted((a, b) => a - b));
});

test('the drift scale is quiet up to the tolerance', () => {
  const scale = driftScale({ ...defaultTolerances, driftPx: 6 });
  expect(scale.boundsPx[scale.quiet.at(-1) ?? 0]).toBe(6);
  expect(stepCount(scale)).toBe(5);
});

test('stretches of one step meet at their ends, and what was not measured is left bare', () => {
  // One line of 9 points, 1 px apart.
  const samples = samplesOf([
    [
      [10, 20],
      [18.5, 20],
    ],
  ]);
  expect(samples.x).toHaveLength(9);
  const steps = Int8Array.from([0, 0, 0, 2, 2, -1, -1, 0, 0]);
  const found = stretches({ samples, steps });
  expect(found.get(0)).toEqual([
    [0, 1, 2, 3],
    [7, 8],
  ]);
  expect(found.get(2)).toEqual([[3, 4, 5]]);
  expect(found.has(-1)).toBe(false);
});

test('no stretch goes over from one line to the next', () => {
  const samples = samplesOf([
    [
      [10, 20],
      [12.5, 20],
    ],
    [
      [10, 40],
      [12.5, 40],
    ],
  ]);
  const steps = new Int8Array(samples.x.length).fill(1);
  expect(stretches({ samples, steps }).get(1)).toEqual([
    [0, 1, 2],
    [3, 4, 5],
  ]);
});
