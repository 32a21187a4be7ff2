/** Volume of an in-between against its two extremes; expected shares by hand. */
import { describe, expect, it } from 'vitest';
import { againstExtremes } from '../../../src/check/against-extremes.ts';
import type { Measured } from '../../../src/check/measured.ts';

function measured(label: string, enclosedPx2: number, open: readonly (boolean | undefined)[] = []): Measured {
  const chart = label === '3' ? { from: '1', to: '5', fraction: 0.25 } : undefined;
  const leaks = open.map((inRough) => ({ xPx: 1, yPx: 1, widthPx: 5, inRough }));
  return {
    drawing: { label, takes: [], ...(chart && { chart }) },
    measures: { volume: { enclosedPx2, regions: [], againstRough: 1 }, leaks },
    spacing: undefined,
    boil: undefined,
    failed: undefined,
  } as unknown as Measured;
}

describe('against extremes', () => {
  const first = measured('1', 1000);
  const last = measured('5', 1400);

  it('is the share of what the extremes have at its place between them', () => {
    // A quarter of the way from 1000 to 1400 is 1100.
    const own = measured('3', 1210);
    expect(againstExtremes(own, [first, own, last])).toBeCloseTo(1.1, 9);
  });

  it('takes an opening that the rough has too for the shape', () => {
    const own = measured('3', 1100, [false]);
    expect(againstExtremes(own, [first, own, last])).toBeCloseTo(1, 9);
  });

  it('says what stands in the way', () => {
    const own = measured('3', 1100);
    expect(againstExtremes(first, [first])).toEqual({
      refused: 'no chart says which extremes it lies between',
    });
    expect(againstExtremes(measured('3', 900, [true]), [first, last])).toEqual({
      refused: 'its lines do not all close',
    });
    expect(againstExtremes(own, [first, own, measured('5', 900, [undefined])])).toEqual({
      refused: 'the lines of 5 do not all close',
    });
    expect(againstExtremes(own, [own, last])).toEqual({ refused: '1 is not measured' });
  });
});
