/** Mid-line and width of shapes whose geometry is known: rectangles drawn pixel by pixel. */
import { describe, expect, it } from 'vitest';
import { inkOf } from '../../../src/line/ink.ts';
import { lineSamples } from '../../../src/line/line-samples.ts';
import { lineRuns } from '../../../src/line/runs.ts';
import { skeletonOf } from '../../../src/line/skeleton.ts';

function samplesOfBoxes(width: number, height: number, boxes: readonly (readonly number[])[]) {
  const data = new Uint8Array(width * height).fill(255);
  for (const [x, y, w, h] of boxes as [number, number, number, number][]) {
    for (let row = y; row < y + h; row++) data.fill(0, row * width + x, row * width + x + w);
  }
  const ink = inkOf({ width, height, channels: 1, data });
  return lineSamples(ink, skeletonOf(lineRuns(ink.coverage, width, height)));
}

describe('line samples', () => {
  it('a solid black, which has no line width, takes no width from the lines above it', () => {
    const { widthPx, y } = samplesOfBoxes(260, 200, [
      [20, 20, 200, 5],
      [40, 60, 140, 120],
    ]);
    const above = widthPx.filter((w, i) => y[i]! < 40 && w > 0);
    expect(above.length).toBeGreaterThan(80);
    for (const w of above) expect(w).toBeCloseTo(5, 2);
  });

  it('a line ends at its end', () => {
    const { x } = samplesOfBoxes(260, 60, [[30, 20, 190, 5]]);
    // The mid-line of a bar ends half its width before the bar does, by how a skeleton is defined.
    expect(Math.abs(Math.min(...x) - 32.5)).toBeLessThan(1.5);
    expect(Math.abs(Math.max(...x) - 217.5)).toBeLessThan(1.5 + 2);
  });

  it('where another line joins, the mid-line stays on its own line', () => {
    const { x, y } = samplesOfBoxes(260, 200, [
      [30, 90, 200, 5],
      [120, 20, 5, 160],
    ]);
    for (let i = 0; i < x.length; i++) {
      const off = Math.min(Math.abs(y[i]! - 92.5), Math.abs(x[i]! - 122.5));
      expect(off, `${x[i]}, ${y[i]}`).toBeLessThan(1.5);
    }
  });

  it('keeps a corner, which a straight fit would cut', () => {
    const { x, y } = samplesOfBoxes(200, 200, [
      [40, 40, 5, 120],
      [40, 155, 120, 5],
    ]);
    const nearest = Math.min(...Array.from(x, (px, i) => Math.hypot(px - 42.5, y[i]! - 157.5)));
    // A skeleton rounds a corner by up to half the line's width.
    expect(nearest).toBeLessThanOrEqual(2.5);
  });
});
