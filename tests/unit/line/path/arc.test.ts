/** The arc against geometry: a circle, an ellipse, a cubic and a swing, with the noise of a matching, and one dot put off. */
import { describe, expect, it } from 'vitest';
import { arcOf } from '../../../../src/line/path/arc.ts';
import { seeded } from '../../../support/line-masks.ts';

type Point = readonly [number, number];
type Curve = (u: number) => Point;

const curves: Readonly<Record<string, Curve>> = {
  'a circle': (u) => [260 * Math.cos(1.4 * u), 260 * Math.sin(1.4 * u)],
  // Flattened to ⅗, a third of the way round, over its narrow end.
  'an ellipse': (u) => [240 * Math.cos(2.1 * u - 0.6), 144 * Math.sin(2.1 * u - 0.6)],
  // Bézier, an S.
  'a cubic': (u) => [
    3 * 130 * u * (1 - u) ** 2 + 3 * 190 * u ** 2 * (1 - u) + 330 * u ** 3,
    3 * 90 * u * (1 - u) ** 2 - 3 * 70 * u ** 2 * (1 - u) + 45 * u ** 3,
  ],
  'a straight line': (u) => [330 * u, 70 * u],
};
const timings: Readonly<Record<string, (n: number) => number[]>> = {
  even: (n) => Array.from({ length: n }, (_, k) => k / (n - 1)),
  'slow in and slow out': (n) =>
    Array.from({ length: n }, (_, k) => (1 - Math.cos((Math.PI * k) / (n - 1))) / 2),
  uneven: (n) => {
    const steps = Array.from({ length: n - 1 }, (_, k) => [1, 1.8, 0.7, 1.3][k % 4]!);
    const sum = steps.reduce((p, q) => p + q);
    return [0, ...steps.map((_, k) => steps.slice(0, k + 1).reduce((p, q) => p + q) / sum)];
  },
};

/** Box–Muller. */
function noisy(points: readonly Point[], sigmaPx: number, random: () => number): Point[] {
  return points.map(([x, y]) => {
    const far = sigmaPx * Math.sqrt(-2 * Math.log(1 - random()));
    const angle = 2 * Math.PI * random();
    return [x + far * Math.cos(angle), y + far * Math.sin(angle)];
  });
}

const COUNT = 13;
const calledOut = (dots: readonly (Point | undefined)[]): number[] =>
  arcOf(dots, 4).off.flatMap((off, k) => (off ? k : []));

describe.each(Object.entries(curves))('%s', (_, curve) => {
  it.each(Object.entries(timings))('calls out no dot that lies on it, timed %s', (_timing, timed) => {
    const random = seeded(11);
    for (let trial = 0; trial < 20; trial++)
      expect(calledOut(noisy(timed(COUNT).map(curve), 0.5, random)), `trial ${trial}`).toEqual([]);
  });

  it('calls out the one dot that lies 6 px off it, and says how far', () => {
    const random = seeded(12);
    for (let k = 2; k < COUNT - 2; k++) {
      const us = timings['even']!(COUNT);
      const dots = noisy(us.map(curve), 0.25, random);
      const [[ax, ay], [bx, by]] = [curve(us[k]! - 1e-4), curve(us[k]! + 1e-4)];
      const length = Math.hypot(bx - ax, by - ay);
      const [x, y] = dots[k]!;
      dots[k] = [x + (6 * (ay - by)) / length, y + (6 * (bx - ax)) / length];
      const arc = arcOf(dots, 4);
      expect(
        arc.off.flatMap((off, n) => (off ? n : [])),
        `dot ${k}`,
      ).toEqual([k]);
      expect(arc.offPx[k]!).toBeGreaterThan(4.5);
      expect(arc.offPx[k]!).toBeLessThan(7.5);
    }
  });
});

it('calls out neither the turns of a swing nor a hold', () => {
  const random = seeded(13);
  const swing = Array.from({ length: 17 }, (_, k): Point => {
    const angle = 0.5 * Math.cos((2 * Math.PI * k) / 16);
    return [260 * Math.sin(angle), 260 * Math.cos(angle)];
  });
  for (let trial = 0; trial < 20; trial++) expect(calledOut(noisy(swing, 0.5, random))).toEqual([]);
  const still: Point[] = Array.from({ length: 9 }, () => [40, 60]);
  expect(calledOut(noisy(still, 0.5, random))).toEqual([]);
  const put = noisy(still, 0.2, random).map((dot, k): Point => (k === 1 ? [dot[0] + 30, dot[1]] : dot));
  expect(calledOut(put)).toEqual([1]);
});

it('says the spacing by hand arithmetic, over a drawing that has no dot', () => {
  const { spacingPx, offPx } = arcOf([[0, 0], [3, 4], undefined, [3, 16], [10, 40]], 4);
  expect(spacingPx).toEqual([undefined, 5, undefined, 12, 25]);
  // Nothing beyond the first and the last says where the arc went.
  expect([offPx[0], offPx[2], offPx[4]]).toEqual([undefined, undefined, undefined]);
});

it('draws its curve through the dots that lie on it, and not to one that does not', () => {
  const dots = timings['even']!(9).map(curves['a circle']!);
  const bent = dots.map((dot, k): Point => (k === 4 ? [dot[0] * 1.08, dot[1] * 1.08] : dot));
  const { curve, off } = arcOf(bent, 4);
  expect(off[4]).toBe(true);
  // A chord over the gap lies 260 (1 − cos 0.175) = 4 px off the circle, and the stray dot 21 px.
  for (const [x, y] of curve) expect(Math.abs(Math.hypot(x, y) - 260)).toBeLessThan(3);
});

it('has nothing to say of none, one and two', () => {
  for (const dots of [
    [],
    [undefined],
    [[1, 2]],
    [
      [1, 2],
      [3, 5],
    ],
  ] as (Point | undefined)[][])
    expect(arcOf(dots, 4).off).toEqual(dots.map(() => false));
});
