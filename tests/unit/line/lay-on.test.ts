import { expect, test } from 'vitest';
import { layOn } from '../../../src/line/lay-on.ts';
import type { Picture } from '../../../src/line/picture.ts';

/** White paper 7 × 5 with single dark pixels. */
function dots(...at: readonly (readonly [x: number, y: number])[]): Picture {
  const data = new Uint8Array(35).fill(255);
  for (const [x, y] of at) data[y * 7 + x] = 0;
  return { width: 7, height: 5, channels: 1, data };
}
const darkAt = ({ data, width }: Picture): string[] =>
  [...data].flatMap((value, i) => (value < 128 ? [`${i % width},${Math.floor(i / width)}`] : []));

test('without a move and at its own size it is the same picture, edges too', () => {
  const older = dots([0, 0], [6, 4], [3, 2]);
  expect(layOn(older, undefined, older)).toEqual(older);
});

test('a move of the new take onto the old is undone: the old one follows the new', () => {
  // The new take lies 2 px to the left and 1 px up of the old: it moves by (+2, +1) to lie on it.
  const laid = layOn(dots([4, 3]), { dxPx: 2, dyPx: 1, angleRad: 0 }, { width: 7, height: 5 });
  expect(darkAt(laid)).toEqual(['2,2']);
  // What lay outside the older paper is white.
  expect(laid.data[34]).toBe(255);
});

test('half a pixel is shared by two', () => {
  const laid = layOn(dots([3, 2]), { dxPx: 0.5, dyPx: 0, angleRad: 0 }, { width: 7, height: 5 });
  expect([laid.data[2 * 7 + 2], laid.data[2 * 7 + 3]]).toEqual([128, 128]);
});

test('a quarter turn about the middle of the paper', () => {
  // Middle of the pixels at (3, 2); a point 2 px to the right of it goes 2 px down (y grows downwards).
  const laid = layOn(dots([3, 4]), { dxPx: 0, dyPx: 0, angleRad: Math.PI / 2 }, { width: 7, height: 5 });
  expect(darkAt(laid)).toEqual(['5,2']);
});

test('another resolution covers the same paper', () => {
  const laid = layOn(dots([1, 1]), undefined, { width: 14, height: 10 });
  expect(laid).toMatchObject({ width: 14, height: 10 });
  expect(darkAt(laid)).toEqual(['2,2', '3,2', '2,3', '3,3']);
});

test('colour keeps its channels', () => {
  const data = Uint8Array.from([200, 10, 30, 255, 255, 255, 255, 255]);
  const laid = layOn({ width: 2, height: 1, channels: 4, data }, undefined, { width: 2, height: 1 });
  expect([...laid.data]).toEqual([...data]);
});

test('a red line on bare film keeps its red where half a pixel is shared', () => {
  // Compositing's own rule: colours are mixed premultiplied. Half of (255, 0, 0) at α 255 and half of nothing.
  const data = new Uint8Array(4 * 4);
  data.set([255, 0, 0, 255], 4);
  const older: Picture = { width: 4, height: 1, channels: 4, data };
  const laid = layOn(older, { dxPx: 0.5, dyPx: 0, angleRad: 0 }, { width: 4, height: 1 });
  expect([...laid.data.subarray(0, 8)]).toEqual([255, 0, 0, 128, 255, 0, 0, 128]);
});
