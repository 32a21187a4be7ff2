/** Bands of ink across a point, against geometry and against a walk that asks every quarter pixel. */
import { expect, test } from 'vitest';
import { coverageAt, DRAWN_FROM, nearestBand, searchOrder } from '../../../src/line/nearest-ink.ts';
import { randomMask, seeded } from '../../support/line-masks.ts';

const order = searchOrder(12);

/** Upright strokes of solid ink: columns from, up to and without, to. */
function strokes(...columns: [from: number, to: number][]) {
  const [width, height] = [80, 20];
  const coverage = Uint8Array.from({ length: width * height }, (_, i) =>
    columns.some(([from, to]) => i % width >= from && i % width < to) ? 255 : 0,
  );
  return { width, height, coverage };
}

test.each([
  ['within the gap: one band', 3, 24, 36],
  ['wider: the band ends before it', 6, 24, 30],
])('two strokes of 6 px, the paper between them %s', (_, paperPx, from, to) => {
  const ink = strokes([24, 30], [30 + paperPx, 33 + paperPx]);
  const band = nearestBand(ink, 27, 10, 0, order, { gapPx: 4, mostPx: 40 })!;
  // Edges are where coverage crosses the threshold between pixel centres, in steps of a quarter.
  expect(Math.abs(band.x - (from + to) / 2)).toBeLessThanOrEqual(0.25);
  expect(Math.abs(band.halfWidthPx - (to - from) / 2)).toBeLessThanOrEqual(0.35);
});

test('a band is cut off at its most from its near edge', () => {
  const band = nearestBand(strokes([10, 70]), 40, 10, 0, order, { gapPx: 3, mostPx: 8 })!;
  expect([band.x - band.halfWidthPx, band.x + band.halfWidthPx]).toEqual([32, 40]);
});

test('a paper without ink in reach has no band', () => {
  expect(nearestBand(strokes([60, 70]), 10, 10, 0, order, { gapPx: 3, mostPx: 8 })).toBeUndefined();
});

test('within ink both edges are where a walk of quarter pixels finds them', () => {
  const [width, height] = [60, 50];
  const random = seeded(9);
  let asked = 0;
  for (const share of [0.15, 0.3, 0.5]) {
    const coverage = randomMask(width, height, share, 11).map((a) =>
      a > 0 ? a : Math.floor(random() * 110),
    );
    const ink = { width, height, coverage };
    for (let round = 0; round < 800; round++) {
      const [x, y, normal] = [random() * width, random() * height, random() * 2 * Math.PI];
      if (coverageAt(ink, x, y) < DRAWN_FROM) continue;
      const [gapPx, mostPx] = [0.5 + random() * 6, 5 + random() * 30];
      const walk = (nx: number, ny: number, from: number) => {
        let last = from;
        for (let t = from; t - last <= gapPx && t - from <= mostPx; t += 0.25)
          if (coverageAt(ink, x + nx * t, y + ny * t) >= DRAWN_FROM) last = t;
        return last;
      };
      const [nx, ny] = [Math.cos(normal), Math.sin(normal)];
      const near = -walk(-nx, -ny, 0);
      const far = walk(nx, ny, near);
      const band = nearestBand(ink, x, y, normal, order, { gapPx, mostPx })!;
      expect(band.halfWidthPx).toBe((far - near) / 2);
      expect(band.x).toBe(x + (nx * (near + far)) / 2);
      asked++;
    }
  }
  expect(asked).toBeGreaterThan(500);
});

test('the search order holds each offset within reach once, nearest first', () => {
  const offsets = searchOrder(3.5);
  const distances: number[] = [];
  const seen = new Set<string>();
  for (let k = 0; k < offsets.length; k += 2) {
    distances.push(offsets[k]! ** 2 + offsets[k + 1]! ** 2);
    seen.add(`${offsets[k]} ${offsets[k + 1]}`);
  }
  expect(distances).toEqual([...distances].sort((a, b) => a - b));
  // Whole points in a circle of 3.5: Gauss's circle problem, N(3.5) = 37.
  expect(seen.size).toBe(37);
  expect(distances.length).toBe(37);
});
