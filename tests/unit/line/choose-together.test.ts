/** A chain of nodes has one best choice that all the ways of choosing, tried one by one, cannot beat. */
import { expect, it } from 'vitest';
import { chooseTogether } from '../../../src/line/choose-together.ts';
import { seeded } from '../../support/line-masks.ts';

it.each([1, 2, 3, 4, 5])('chooses for a chain of six as well as trying all ways does (seed %i)', (seed) => {
  const random = seeded(seed);
  const choices = Array.from({ length: 6 }, () =>
    Array.from({ length: 3 }, () => ({ is: random() * 10, cost: random() })),
  );
  const neighbours = choices.map((_, k) => [k - 1, k + 1].filter((n) => n >= 0 && n < 6));
  const between = (_: number, own: number, __: number, other: number) => 0.2 * Math.abs(own - other);
  const costOf = (chosen: readonly number[]) =>
    chosen.reduce(
      (sum, is, k) =>
        sum +
        choices[k]!.find((choice) => choice.is === is)!.cost +
        (k > 0 ? between(k, is, k - 1, chosen[k - 1]!) : 0),
      0,
    );
  let least = Infinity;
  for (let way = 0; way < 3 ** 6; way++)
    least = Math.min(least, costOf(choices.map((own, k) => own[Math.floor(way / 3 ** k) % 3]!.is)));
  expect(costOf(chooseTogether(choices, neighbours, between))).toBeCloseTo(least, 5);
});
