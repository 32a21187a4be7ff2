import { describe, expect, test } from 'vitest';
import { roomFor } from '../../../src/export/drawing-picture.ts';

/** Apple's limit of a canvas on a tablet, 16,777,216 px. */
const mostPx = 4096 * 4096;

/** Words that take as many lines on any slip: they grow with the drawing's width. */
const always = (lines: number) => () => Promise.resolve(lines);

describe('the room of a drawing and its words', () => {
  test('a drawing of 4K with a few notes keeps its size', async () => {
    const { width, height, lines } = await roomFor([4096, 2160], always(12));
    expect([width, height, lines]).toEqual([4096, 2160, 12]);
  });

  test('a larger drawing is 4096 px along its long edge', async () => {
    expect(await roomFor([8192, 4320], always(4))).toMatchObject({ width: 4096, height: 2160 });
  });

  test.each([
    ['many words under a wide drawing', [4096, 2304], 60],
    ['any words under a square one', [4096, 4096], 1],
    ['words under an upright one', [2160, 4096], 150],
  ] as const)('%s: all of it smaller, no line lost', async (_, size, count) => {
    const { width, height, slipHeight, size: letter, lines } = await roomFor(size, always(count));
    expect(lines).toBe(count);
    expect(slipHeight).toBeGreaterThanOrEqual((count + 1) * letter * 1.4);
    expect(width * (height + slipHeight)).toBeLessThanOrEqual(mostPx);
    expect(height + slipHeight).toBeLessThanOrEqual(8192);
    // As large as it can be, within a tenth; the drawing keeps its shape.
    expect(Math.max((width * (height + slipHeight)) / mostPx, (height + slipHeight) / 8192)).toBeGreaterThan(
      0.9,
    );
    expect(width / height).toBeCloseTo(size[0] / size[1], 2);
  });

  test('words without end are cut where the room ends, and say how many lines there are', async () => {
    const { width, height, slipHeight, size, lines } = await roomFor([1920, 1080], always(5000));
    expect(width).toBe(1600);
    expect(height + slipHeight).toBeLessThanOrEqual(8192);
    expect(lines).toBeGreaterThan(50);
    expect((lines + 1.6) * size * 1.4).toBeLessThanOrEqual(slipHeight);
  });
});
