/**
 * The maker of motions against geometry: what it calls a fraction is one, of the arc or of the growth, so that a
 * measure may be judged by it. Middles and sizes are taken from the drawn pixels' mid-line.
 */
import { expect, it } from 'vitest';
import type { LineSamples } from '../../src/line/samples.ts';
import { MOTIONS, motionOf } from '../support/motions.ts';
import { tallyOf } from '../wild/spacing.ts';

/** Middle of the line and its root mean square distance from there, px. */
function sizeOf({ x, y }: LineSamples) {
  const mean = (values: ArrayLike<number>) =>
    Array.from(values).reduce((sum, value) => sum + value, 0) / values.length;
  const at = [mean(x), mean(y)] as const;
  return { at, radiusPx: Math.sqrt(mean(x.map((px, k) => (px - at[0]) ** 2 + (y[k]! - at[1]) ** 2))) };
}

/** Share of the angle at the centre of the circle through three points (inscribed angles), a third of it at ⅓. */
function shareOfArc(a: readonly number[], c: readonly number[], b: readonly number[]): number {
  const to = (from: readonly number[], p: readonly number[]) =>
    Math.atan2(p[1]! - from[1]!, p[0]! - from[0]!);
  const between = (p: number, q: number) => Math.abs(Math.atan2(Math.sin(p - q), Math.cos(p - q)));
  // The angle at b over the chord a–c is half the arc a–c, and the one at a over c–b half of c–b.
  const [ac, cb] = [between(to(b, a), to(b, c)), between(to(a, c), to(a, b))];
  return ac / (ac + cb);
}

it.each([1, 2])('moves the middle by its fraction of an arc without a turn (seed %i)', (seed) => {
  const { a, b, c, truth } = motionOf('arc without a turn', seed, 'judge');
  expect(shareOfArc(sizeOf(a).at, sizeOf(c).at, sizeOf(b).at)).toBeCloseTo(truth, 1);
});

it.each([1, 2])('grows by its fraction (seed %i)', (seed) => {
  const { a, b, c, truth } = motionOf('growth', seed, 'judge');
  const [ra, rb, rc] = [sizeOf(a).radiusPx, sizeOf(b).radiusPx, sizeOf(c).radiusPx];
  // Growth along one axis alone changes the radius nearly evenly too.
  expect(Math.abs((rc - ra) / (rb - ra) - truth)).toBeLessThan(0.06);
});

it('draws the same for the same seed, and another for another', () => {
  for (const kind of ['hinge', 'hides'] as const) {
    const [once, again, other] = [5, 5, 6].map((seed) => {
      // Made of functions too, which are never equal.
      const { parts: _, drawnAt, ...drawn } = motionOf(kind, seed, 'judge');
      return { ...drawn, later: drawnAt(0.8) };
    });
    expect(again).toEqual(once);
    expect(other!.c.x).not.toEqual(once!.c.x);
  }
});

it('is measured within 0.03 of its place, or refused', () => {
  const tallies = tallyOf(MOTIONS, [107], 'judge');
  const misses = tallies.flatMap((tally) => tally.misses).join('\n');
  const sum = (of: (tally: (typeof tallies)[number]) => number) =>
    tallies.reduce((total, tally) => total + of(tally), 0);
  // What is asked of many (`npm run wild` draws them), and of one of each kind a miss less.
  const measured = sum((tally) => tally.measured);
  expect(measured, misses).toBeGreaterThanOrEqual(0.85 * MOTIONS.length);
  expect(
    sum((tally) => tally.within),
    misses,
  ).toBeGreaterThanOrEqual(measured - 1);
  expect(
    sum((tally) => tally.wrong),
    misses,
  ).toBe(0);
});

// A small part of dense line once outweighed the body, since its patches overlap more.
it('gives a body and its part, of two thirds, one place each', () => {
  const [tally] = tallyOf(['two thirds'], [731008], 'judge');
  expect(tally!.misses).toEqual([]);
  expect(tally!.measured).toBe(1);
});

it('never judges by a picture that is tuned to', () => {
  const of = (set: 'tune' | 'judge') =>
    new Set([1, 2].flatMap((seed) => motionOf('crowd', seed, set).pictures));
  const judged = of('judge');
  for (const name of of('tune')) expect(judged.has(name)).toBe(false);
});
