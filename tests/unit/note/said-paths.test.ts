/** Dots of a path that people put right: the latest holds, on whichever side of a merge it was said. */
import { expect, it } from 'vitest';
import type { Entry } from '../../../src/note/entry.ts';
import { parseEntry } from '../../../src/note/parse.ts';
import { saidPaths } from '../../../src/note/said-paths.ts';
import { ana, dov, entry } from './make.ts';

const said = (
  drawing: string,
  at: [number, number] | null,
  second: number,
  by = ana,
  place = 'nose',
): Entry =>
  entry({ kind: 'path dot', place, level: 'B', drawing, image: `sha of ${drawing}`, at }, second, by);

const told = (entries: readonly Entry[]) =>
  saidPaths(entries).map(({ place, level, dots }) => [
    place,
    level,
    [...dots].map(([label, { at }]) => [label, at]),
  ]);

it('keeps the last word on each drawing, in whatever order the entries came', () => {
  const entries = [
    said('3', [10, 20], 1),
    said('5', [30, 40], 2),
    said('3', [11, 22], 3, dov),
    said('7', [50, 60], 4, ana, 'thumb'),
  ];
  const wanted = [
    [
      'nose',
      'B',
      [
        ['3', [11, 22]],
        ['5', [30, 40]],
      ],
    ],
    ['thumb', 'B', [['7', [50, 60]]]],
  ];
  expect(told(entries)).toEqual(wanted);
  expect(told(entries.toReversed())).toEqual(wanted);
  expect(told([...entries, ...entries])).toEqual(wanted);
});

it('takes a dot back by null or by withdrawal, and a place whose dots are all gone', () => {
  const dot = said('3', [10, 20], 1);
  expect(told([dot, said('3', null, 2)])).toEqual([]);
  expect(told([dot, entry({ kind: 'withdraw', to: dot.id }, 2, ana)])).toEqual([]);
  expect(told([dot, said('3', null, 2), said('3', [1, 2], 3)])).toEqual([['nose', 'B', [['3', [1, 2]]]]]);
});

it('refuses a place that is no place', () => {
  for (const at of [[1], [Number.NaN, 1], 'here'])
    expect(parseEntry({ ...said('3', [1, 2], 0), body: { ...said('3', [1, 2], 0).body, at } }).ok).toBe(
      false,
    );
  expect(parseEntry(said('3', null, 0)).ok).toBe(true);
});
