/** Two lines found on one: the dearer is in doubt; each on its own: neither. */
import { expect, it } from 'vitest';
import { foundBack } from '../../../src/line/found-back.ts';
import { lineMap } from '../../../src/line/line-map.ts';
import { STAY } from '../../../src/line/move.ts';
import { patchesOf } from '../../../src/line/patches.ts';
import { samplesOf } from '../../support/samples-of.ts';

const drawing = samplesOf(
  [
    [
      [20, 20],
      [80, 20],
    ],
    [
      [20, 220],
      [80, 220],
    ],
  ],
  2,
);
const patches = patchesOf(drawing, 100, 1, 20);
const map = lineMap(drawing, 2, 20);
const up = { ...STAY, dy: -200 };

it('finds each line back from itself', () => {
  expect(patches.length).toBe(2);
  expect(foundBack(drawing, patches, map, [STAY, STAY], [0.1, 0.1], 250)).toEqual([1, 1]);
});

it('doubts the dearer of two lines found on one, and both at one price', () => {
  expect(foundBack(drawing, patches, map, [STAY, up], [0.1, 0.4], 250)).toEqual([1, 0]);
  expect(foundBack(drawing, patches, map, [STAY, up], [0.2, 0.2], 250)).toEqual([0, 0]);
});
