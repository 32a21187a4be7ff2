import { describe, expect, it } from 'vitest';
import { flashOfCycle } from '../../../src/line/flash.ts';
import { mostInWindow } from '../../../src/line/flash-area.ts';
import type { Picture } from '../../../src/line/picture.ts';

const view = { cssPxPerPicturePx: 1, viewportPx: [1180, 820] } as const;
const grey = (value: number): Picture => ({
  width: 200,
  height: 150,
  channels: 1,
  data: new Uint8Array(200 * 150).fill(value),
});
const colour = (...rgba: readonly number[]): Picture => ({
  width: 200,
  height: 150,
  channels: 4,
  data: Uint8Array.from({ length: 200 * 150 * 4 }, (_, index) => rgba[index % 4] as number),
});
const cycle = (rateHz: number, ...pictures: readonly Picture[]) =>
  flashOfCycle(
    pictures.map((picture) => ({ picture, frames: 1 })),
    rateHz,
    view,
  );

describe('flashOfCycle', () => {
  it('finds nothing in one drawing, in no drawing, and in equal ones', () => {
    for (const pictures of [[], [grey(0)], [grey(90), grey(90), grey(90)]])
      expect(cycle(24, ...pictures)).toMatchObject({ flashes: false, safeRateHz: Infinity, why: 'none' });
  });
  it('sees a change that comes in small steps', () => {
    // Linear light 0.209 → 0.262 → 0.319 → 0.262: no step reaches 0.1, the swing from end to end does.
    const wave = [126, 140, 153, 140].map(grey);
    expect(cycle(24, ...wave)).toMatchObject({ flashes: true, why: 'general' });
    // Two transitions in four frames: seven take twelve frames.
    expect(cycle(24, ...wave).safeRateHz).toBe(12);
  });
  it('does not count a second step in the same direction', () => {
    // Up, up, down, down: two opposing transitions in four frames.
    expect(cycle(24, ...[0, 128, 255, 128].map(grey)).safeRateHz).toBe(12);
  });
  it('tells red from white as red and as general', () => {
    expect(cycle(24, colour(255, 0, 0, 255), colour(255, 255, 255, 255))).toMatchObject({
      why: 'general and red',
      safeRateHz: 6,
    });
  });
  it('tells a red and a blue of like luminance as red only', () => {
    // Red 147 and blue 247 (by hand: 0.2126·0.292 = 0.0621, 0.0722·0.930 = 0.0672).
    expect(cycle(24, colour(147, 0, 0, 255), colour(0, 0, 247, 255))).toMatchObject({ why: 'red' });
  });
  it('lays transparent pixels on white paper', () => {
    expect(cycle(24, colour(0, 0, 0, 0), colour(255, 255, 255, 255)).why).toBe('none');
    expect(cycle(24, colour(0, 0, 0, 0), colour(0, 0, 0, 255)).why).toBe('general');
  });
  it('leaves thin lines alone, wherever they move', () => {
    const line = (x: number): Picture => {
      const picture = grey(255);
      for (let y = 0; y < 150; y++) picture.data.fill(0, y * 200 + x, y * 200 + x + 3);
      return picture;
    };
    expect(cycle(24, line(20), line(90), line(150))).toMatchObject({ flashes: false, safeRateHz: Infinity });
  });
  it('states the sizes when they differ', () => {
    const small: Picture = { width: 2, height: 1, channels: 1, data: new Uint8Array(2) };
    expect(() => cycle(24, grey(0), small)).toThrow(/200×150 and 2×1/);
  });
});

describe('mostInWindow', () => {
  const mask = (width: number, height: number, bits: readonly number[]) => ({
    width,
    height,
    bits: Uint8Array.from(bits),
  });
  it('finds the fullest window and keeps the bits apart', () => {
    const bits = [1, 0, 0, 2, 1, 1, 0, 2, 0, 1, 0, 0];
    expect(mostInWindow(mask(4, 3, bits), 1, 2, 2)).toBe(3);
    expect(mostInWindow(mask(4, 3, bits), 2, 2, 2)).toBe(2);
    expect(mostInWindow(mask(4, 3, bits), 1, 99, 99)).toBe(4);
  });
  it('takes an empty mask', () => expect(mostInWindow(mask(0, 0, []), 1, 5, 5)).toBe(0));
});
