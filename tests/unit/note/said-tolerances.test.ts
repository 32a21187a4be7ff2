import { expect, test } from 'vitest';
import { parseEntry } from '../../../src/note/parse.ts';
import { saidTolerances } from '../../../src/note/said-tolerances.ts';
import { ana, entry } from './make.ts';

const said = (name: string, value: number | null, at: number) =>
  entry({ kind: 'tolerance', name, value }, at, ana);

test('each tolerance is what was said last, in whatever order it arrived', () => {
  const all = [said('weight', 0.1, 5), said('driftPx', 4, 6), said('weight', 0.2, 9)];
  for (const order of [all, all.toReversed()])
    expect([...saidTolerances(order)].sort(([a], [b]) => (a < b ? -1 : 1))).toEqual([
      ['driftPx', 4],
      ['weight', 0.2],
    ]);
});

test('null is the default again, and what is withdrawn was never said', () => {
  const first = said('weight', 0.1, 5);
  const second = said('weight', 0.3, 6);
  expect(saidTolerances([first, said('weight', null, 7)]).size).toBe(0);
  expect(
    saidTolerances([first, second, entry({ kind: 'withdraw', to: second.id }, 8, ana)]).get('weight'),
  ).toBe(0.1);
});

test('values that no tolerance can have are refused at the door', () => {
  for (const value of [-0.1, Number.NaN, 1001, '3'])
    expect(
      parseEntry({ ...said('weight', 0, 1), body: { kind: 'tolerance', name: 'weight', value } }).ok,
    ).toBe(false);
});
