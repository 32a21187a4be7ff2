import { describe, expect, it } from 'vitest';
import { chamferDistance } from '../../../src/line/chamfer.ts';

describe('chamfer distance', () => {
  it('keeps within 6 % of the true distance (Pythagoras), everywhere on an uneven grid', () => {
    const [width, height] = [37, 23];
    const seeds = new Uint8Array(width * height);
    const at = [
      [3, 2],
      [30, 20],
      [36, 0],
    ] as const;
    for (const [x, y] of at) seeds[y * width + x] = 1;
    const found = chamferDistance(seeds, width, height);
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const true_ = Math.min(...at.map(([sx, sy]) => Math.hypot(sx - x, sy - y)));
        expect(Math.abs(found[y * width + x]! - true_), `at ${x}, ${y}`).toBeLessThanOrEqual(
          0.06 * true_ + 1e-6,
        );
      }
    }
  });

  it('is far everywhere without seeds', () => {
    expect(Array.from(chamferDistance(new Uint8Array(6), 3, 2))).toEqual([5, 5, 5, 5, 5, 5]);
  });
});
