import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { decodeRuns, encodeRuns } from '../../../src/shelf/runs.ts';
import { readPicture, storePicture } from '../../../src/shelf/stored-picture.ts';
import { pictureOf } from '../../support/shelf-contract.ts';

const bytes = (...values: number[]): Uint8Array => Uint8Array.from(values);

test('paper, three pixels of ink, paper: counted by hand', () => {
  const row = new Uint8Array(400).fill(255);
  row.set([10, 20, 30], 300);
  // Paper 255; 300 paper pixels = 0b10_0101100 → 172, 2; 3 literals; then 97 paper pixels and no literal.
  expect(encodeRuns(row, 1, 400)).toEqual(bytes(255, 172, 2, 3, 10, 20, 30, 97, 0));
});

test('coloured pixels are four bytes wide', () => {
  const row = bytes(255, 255, 255, 255, 255, 255, 255, 255, 9, 8, 7, 255);
  expect(encodeRuns(row, 4, 100)).toEqual(bytes(255, 255, 255, 255, 2, 1, 9, 8, 7, 255));
});

test('stops where the result would pass the limit', () => {
  const noise = Uint8Array.from({ length: 1000 }, (_, i) => (i * 7) % 256);
  expect(encodeRuns(noise, 1, 500)).toBeUndefined();
});

test('comes back pixel by pixel, whatever the pixels', () => {
  // Few values, long repeats: as drawings are.
  const run = fc.tuple(fc.constantFrom(255, 0, 128), fc.integer({ min: 1, max: 300 }));
  fc.assert(
    fc.property(fc.array(run, { maxLength: 40 }), fc.constantFrom(1, 4), (runs, channels) => {
      const pixels = Uint8Array.from(
        runs.flatMap(([value, count]) => Array<number>(count * channels).fill(value)),
      );
      const encoded = encodeRuns(pixels, channels, pixels.length * 2 + 100);
      // Into memory used before: nothing of that may be left.
      const back = encoded && decodeRuns(encoded, channels, new Uint8Array(pixels.length).fill(77));
      expect(Buffer.compare(Buffer.from(back ?? []), pixels)).toBe(0);
    }),
    { seed: 20261125 },
  );
});

test('runs that do not fit their picture are refused, not read beyond', () => {
  expect(() => decodeRuns(bytes(255, 2, 200, 1), 1, new Uint8Array(50))).toThrow(RangeError);
  expect(() => decodeRuns(bytes(255, 60, 0), 1, new Uint8Array(50))).toThrow(RangeError);
});

test.each([
  ['a drawing', pictureOf(3, 41, 29, 1), 'runs'],
  ['one pixel', { width: 1, height: 1, channels: 1, data: bytes(7) }, 'deflate'],
  [
    'grain without runs',
    {
      width: 30,
      height: 20,
      channels: 4,
      data: Uint8Array.from({ length: 2400 }, (_, i) => (i * i * 13) % 256),
    },
    'deflate',
  ],
] as const)('%s is stored and read back', async (_name, picture, how) => {
  const stored = await storePicture(picture);
  expect(stored.how).toBe(how);
  expect(await readPicture(stored)).toEqual(picture);
});

test('a picture whose bytes do not match its size is refused with both', async () => {
  const wrong = { width: 3, height: 2, channels: 1, data: bytes(1, 2, 3) } as const;
  await expect(storePicture(wrong)).rejects.toThrow('3×2×1 cannot hold 3 bytes');
});
