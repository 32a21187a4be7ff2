import { expect, test } from 'vitest';
import { fieldPlace, middleOf } from '../../../src/note/field-place.ts';

// A 12-field chart: lines 1–12 from the centre to each edge (common practice, no source); hand arithmetic.
test.each([
  [[960, 540], 'centre', 'centre'],
  [[1920, 0], '12E 12N', 'upper right'],
  [[0, 1080], '12W 12S', 'lower left'],
  [[1280, 540], '4E', 'centre'],
  [[1281, 540], '4E', 'centre'],
  [[1296, 540], '4.2E', 'right'],
  [[960, 90], '10N', 'upper middle'],
  [[-50, 2000], '12W 12S', 'lower left'],
] as const)('%j lies at %s', (point, chart, words) => {
  expect(fieldPlace(point, [1920, 1080])).toMatchObject({ chart, words });
});

test('a place is the same on a picture of twice the size', () => {
  expect(fieldPlace([700, 120], [1920, 1080])).toEqual(fieldPlace([1400, 240], [3840, 2160]));
});

test('the middle of a box', () => {
  expect(middleOf([10, 20, 5, 8])).toEqual([12.5, 24]);
});
