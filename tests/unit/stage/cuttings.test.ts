import { describe, expect, it } from 'vitest';
import { planCuttings, serves } from '../../../src/stage/cuttings.ts';

describe('planCuttings', () => {
  it('keeps the whole image when it fits, in pieces that overlap and cover it', () => {
    const plan = planCuttings([4096, 2160], [0, 0, 100, 100], 75e6, 2048, 2);
    expect(plan).toMatchObject({ region: [0, 0, 4096, 2160], scale: 1 });
    // By hand: pieces start every 2046 px, and the last ones are what is left.
    expect(plan.boxes).toEqual([
      [0, 0, 2048, 2048],
      [2046, 0, 2048, 2048],
      [4092, 0, 4, 2048],
      [0, 2046, 2048, 114],
      [2046, 2046, 2048, 114],
      [4092, 2046, 4, 114],
    ]);
  });
  it('keeps what is seen and a quarter more on each side when the whole is too much', () => {
    const { region, scale } = planCuttings([10_000, 8000], [4000, 3000, 1000, 800], 75e6, 2048, 2);
    expect(region).toEqual([3750, 2800, 1500, 1200]);
    expect(scale).toBe(1);
  });
  it('reduces when even that is too much, within the bytes allowed and the size of a piece', () => {
    const plan = planCuttings([20_000, 20_000], [0, 0, 20_000, 20_000], 64e6, 2048, 2);
    // √(64e6 / (4 · 20,000²)) = 0.2.
    expect(plan.scale).toBeCloseTo(0.2, 12);
    for (const [, , width, height] of plan.boxes)
      expect(Math.max(width, height) * plan.scale).toBeLessThanOrEqual(2048);
  });
  it('takes a view beside the image', () => {
    const { region } = planCuttings([9000, 9000], [-500, -500, 100, 100], 75e6, 2048, 2);
    expect(region[2]).toBeGreaterThanOrEqual(1);
    expect(region[3]).toBeGreaterThanOrEqual(1);
  });
});

describe('serves', () => {
  const plan = { region: [100, 100, 400, 300], scale: 0.5, boxes: [] } as const;
  it('a view inside it, as finely as the screen shows', () => {
    expect(serves(plan, [150, 150, 200, 200], 0.5, [1000, 1000])).toBe(true);
    expect(serves(plan, [150, 150, 200, 200], 0.6, [1000, 1000])).toBe(false);
    expect(serves(plan, [50, 150, 200, 200], 0.5, [1000, 1000])).toBe(false);
  });
  it('asks for no more than the image has', () => {
    expect(serves({ ...plan, scale: 1 }, [150, 150, 200, 200], 8, [1000, 1000])).toBe(true);
    expect(
      serves({ ...plan, region: [0, 0, 1000, 1000], scale: 1 }, [-50, -50, 2000, 2000], 1, [1000, 1000]),
    ).toBe(true);
  });
});
