/**
 * The path of a place against the motions that moved it, on fixed seeds and pictures that nothing was tuned to. What is
 * asked of many (`npm run wild -- path` draws them) is asked here of a few.
 */
import { expect, it } from 'vitest';
import { pathTallies } from '../wild/path.ts';

it('finds a bend of the line within 3 px of where the motion took it, or says why not', async () => {
  const all = await pathTallies(['two thirds', 'follow-through', 'hinge'], [20], 'judge', {
    places: 4,
    fro: true,
  });
  const tallies = [...all.values()].flatMap((of) => [of.bend, of['beside a bend']]);
  const sum = (of: (tally: (typeof tallies)[number]) => number) =>
    tallies.reduce((total, tally) => total + of(tally), 0);
  const misses = tallies.flatMap((tally) => tally.misses).join('\n');
  expect(sum(({ asked }) => asked)).toBeGreaterThan(60);
  expect(sum(({ found }) => found) / sum(({ asked }) => asked), misses).toBeGreaterThan(0.75);
  expect(sum(({ within }) => within) / sum(({ found }) => found), misses).toBeGreaterThan(0.93);
  expect(
    sum(({ wrong }) => wrong),
    misses,
  ).toBe(0);
});
