/** Where the paper's pictures come from, and whose memory they are written into. */
import { expect, test } from 'vitest';
import { pictureSource } from '../../../src/desk/picture-source.ts';
import { memoryShelf } from '../../../src/shelf/memory-shelf.ts';
import { imageOf, pictureOf, refOf } from '../../support/shelf-contract.ts';

const never = new AbortController().signal;

test('memory of a picture that is on the paper is written over, of one made here never', async () => {
  const shelf = memoryShelf();
  const flips = [1, 2].map((n) => pictureOf(n, 41, 29, 1));
  for (const [n, flip] of flips.entries()) await shelf.keepImage({ ...imageOf(n), flip });
  const made = pictureOf(3, 41, 29, 1);
  const madeAs = made.data.slice();
  const source = pictureSource(shelf, new Map([[refOf(7).sha256, made]]));

  const mine = await source.flip(refOf(7), never);
  if (mine) source.spent?.(mine);
  const first = await source.flip(refOf(0), never);
  expect(first).toEqual(flips[0]);
  if (first) source.spent?.(first);
  const second = await source.flip(refOf(1), never);
  expect(second).toEqual(flips[1]);
  expect(second?.data.buffer).toBe(first?.data.buffer);
  expect(made.data).toEqual(madeAs);
});

test('what the shelf does not keep in any size is not there', async () => {
  const source = pictureSource(memoryShelf(), new Map());
  expect(await source.flip(refOf(5), never)).toBeUndefined();
});
