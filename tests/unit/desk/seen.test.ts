import { expect, it } from 'vitest';
import { seen } from '../../../src/desk/seen.ts';
import type { Picture } from '../../../src/line/picture.ts';

const grey = (width: number, height: number, ...data: number[]): Picture => ({
  width,
  height,
  channels: 1,
  data: Uint8Array.from(data),
});
const red = ({ data }: Picture): number[] => [...data].filter((_, index) => index % 4 === 0);
const clean = grey(3, 1, 0, 255, 255);
const rough = grey(3, 1, 255, 0, 255);

it('lays ink over ink, each way as the stage does', () => {
  expect(red(seen([clean], [rough], { way: 'clean' }, [1, 1]))).toEqual([0, 255, 255]);
  expect(red(seen([clean], [rough], { way: 'rough' }, [1, 1]))).toEqual([255, 0, 255]);
  // Source-over of black at 20 % on white paper: 0.8 × 255 (W3C Compositing).
  expect(red(seen([clean], [rough], { way: 'underlay', opacity: 0.2 }, [1, 1]))).toEqual([0, 204, 255]);
  expect(red(seen([clean], [rough], { way: 'difference' }, [1, 1]))).toEqual([0, 0, 255]);
  expect(red(seen([clean], [rough], { way: 'wipe', at: 0.3 }, [1, 1]))).toEqual([0, 0, 255]);
  expect(red(seen([clean], [rough], { way: 'side by side' }, [1, 1]))).toEqual([0, 255, 255, 255, 0, 255]);
});

it('is white paper where nothing lies', () => {
  expect(red(seen([], [rough], { way: 'clean' }, [2, 1]))).toEqual([255, 255]);
});

it('reads a picture of another size on the grid of the first', () => {
  const large = grey(6, 2, 0, 0, 255, 255, 255, 255, 0, 0, 255, 255, 255, 255);
  expect(red(seen([rough, large], [], { way: 'clean' }, [1, 1]))).toEqual([0, 0, 255]);
});
