/** Flashing against published values: WCAG 2.2 (2.3.1, G19, G176), IEC 61966-2-1, CIE 1976. */
import { describe, expect, it } from 'vitest';
import { flashOfCycle, isGeneralTransition, isRedTransition } from '../../src/line/flash.ts';
import { chromaticityOf, linearOf, luminanceOf } from '../../src/line/luminance.ts';
import type { Picture } from '../../src/line/picture.ts';

const lum = (r: number, g = r, b = r) =>
  luminanceOf(linearOf[r] as number, linearOf[g] as number, linearOf[b] as number);

describe('relative luminance (WCAG 2.2, IEC 61966-2-1)', () => {
  it.each([
    ['grey 128', lum(128), 0.215861],
    ['red', lum(255, 0, 0), 0.2126],
    ['grey 231', lum(231), 0.799103],
    ['grey 232', lum(232), 0.806952],
    ['white', lum(255), 1],
    ['black', lum(0), 0],
  ])('%s', (_, measured, published) => expect(measured).toBeCloseTo(published, 6));

  it('lets white and grey 231 flash, white and grey 232 not (the darker must be below 0.80)', () => {
    expect(isGeneralTransition(lum(255), lum(231))).toBe(true);
    expect(isGeneralTransition(lum(255), lum(232))).toBe(false);
  });
  it('asks for a tenth of the full range', () => {
    expect(isGeneralTransition(0.5, 0.6)).toBe(true);
    expect(isGeneralTransition(0.5, 0.599)).toBe(false);
  });
});

describe('CIE 1976 distances of the sRGB primaries', () => {
  const apart = (a: readonly [number, number, number], b: readonly [number, number, number]) => {
    const [[u1, v1], [u2, v2]] = [chromaticityOf(...a), chromaticityOf(...b)];
    return Math.hypot(u1 - u2, v1 - v2);
  };
  const [red, green, blue, white] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
    [1, 1, 1],
  ] as const;
  // The published six digits hold for the primaries' defining coordinates; the matrix of IEC 61966-2-1 is
  // rounded to four digits, which moves the last of them.
  it.each([
    ['red and white', red, white, 0.258682],
    ['red and green', red, green, 0.328104],
    ['red and blue', red, blue, 0.457155],
  ] as const)('%s', (_, one, other, published) => {
    expect(apart(one, other)).toBeCloseTo(published, 3);
    expect(isRedTransition(one, other)).toBe(true);
  });
  it('is no red flash without a saturated red: green and blue are far apart', () => {
    expect(apart(green, blue)).toBeGreaterThan(0.2);
    expect(isRedTransition(green, blue)).toBe(false);
  });
});

const fill = (grey: number, width = 148, height = 149): Picture => ({
  width,
  height,
  channels: 1,
  data: new Uint8Array(width * height).fill(grey),
});
/** White, with the first `count` pixels of another grey. */
const withFirst = (count: number, grey: number, width: number, height: number): Picture => {
  const picture = fill(255, width, height);
  picture.data.fill(grey, 0, count);
  return picture;
};
const view = { cssPxPerPicturePx: 1, viewportPx: [1024, 768] } as const;
const alternate = (
  one: Picture,
  other: Picture,
  rateHz: number,
  viewed: Parameters<typeof flashOfCycle>[2] = view,
) =>
  flashOfCycle(
    [
      { picture: one, frames: 1 },
      { picture: other, frames: 1 },
    ],
    rateHz,
    viewed,
  );

describe('area (G176: a quarter of 341 × 256 px at 1024 × 768 is 21,824 px²)', () => {
  it('takes 21,824 px² for safe and one px more for a flash', () => {
    const at = (count: number) => alternate(fill(255, 341, 256), withFirst(count, 0, 341, 256), 24);
    expect(at(21_824)).toMatchObject({ flashes: false, why: 'none', areaLimitPx2: 21_824 });
    expect(at(21_825)).toMatchObject({ flashes: true, why: 'general' });
  });
  it('counts only what falls into one field of 341 × 256 px', () => {
    // 40 columns at each end of a strip 800 px wide and 400 px high: 32,000 px² in all, 10,240 in any field.
    const strip = fill(255, 800, 400);
    for (let y = 0; y < 400; y++) {
      strip.data.fill(0, y * 800, y * 800 + 40);
      strip.data.fill(0, y * 800 + 760, y * 800 + 800);
    }
    const measured = alternate(fill(255, 800, 400), strip, 24);
    expect(measured.general.largestAreaPx2).toBe(40 * 256);
    expect(measured.flashes).toBe(false);
  });
  it('is measured in CSS px: the same pictures twice as large cover four times the area', () => {
    const [one, other] = [fill(255, 100, 80), fill(0, 100, 80)];
    expect(alternate(one, other, 24).flashes).toBe(false);
    expect(alternate(one, other, 24, { ...view, cssPxPerPicturePx: 2 }).flashes).toBe(true);
  });
  it('shrinks the field with a viewport smaller than 1024 × 768, and never widens it', () => {
    const limit = (viewportPx: readonly [number, number]) =>
      alternate(fill(255), fill(0), 24, { cssPxPerPicturePx: 1, viewportPx }).areaLimitPx2;
    expect(limit([512, 768])).toBe(21_824 / 4);
    expect(limit([1366, 1024])).toBe(21_824);
  });
});

describe('rate (G19: six opposing transitions in a second pass, seven fail)', () => {
  it.each([
    [6, 6, false],
    [7, 7, true],
    [24, 24, true],
  ])('at %i changes a second', (rateHz, transitions, flashes) => {
    const measured = alternate(fill(255), fill(0), rateHz);
    expect(measured.general.transitions).toBe(transitions);
    expect(measured.flashes).toBe(flashes);
    expect(measured.safeRateHz).toBe(6);
  });
  it('allows twice the frame rate when each picture is held for two frames', () => {
    const held = flashOfCycle(
      [
        { picture: fill(255), frames: 2 },
        { picture: fill(0), frames: 2 },
      ],
      12,
      view,
    );
    expect(held).toMatchObject({ safeRateHz: 12, flashes: false });
  });
});
