/**
 * Distances against OpenCV's `distanceTransform(DIST_L2, DIST_MASK_PRECISE)` (4.11), which is exact, and
 * against Pythagoras.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { distanceField } from '../../src/line/distance.ts';
import { drawLines, figure } from '../support/draw-lines.ts';
import { randomMask } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
beforeAll(async () => {
  cv = await loadOpenCv();
});

function openCvDistance(coverage: Uint8Array, width: number, height: number): Float32Array {
  const paper = cv.matFromArray(
    height,
    width,
    cv.CV_8U,
    Array.from(coverage, (a) => (a >= 102 ? 0 : 255)),
  );
  const out = new cv.Mat();
  cv.distanceTransform(paper, out, cv.DIST_L2, cv.DIST_MASK_PRECISE);
  const distances = out.data32F.slice();
  paper.delete();
  out.delete();
  return distances;
}

/** Largest difference, in units of float32 rounding (2⁻²³ relative) of OpenCV's own result. */
function worstRounding(distSq: ArrayLike<number>, reference: Float32Array, reachPx = Infinity): number {
  let worst = 0;
  for (let i = 0; i < reference.length; i++) {
    const expected = Math.min(reachPx, reference[i]!);
    const rounding = 2 ** -23 * Math.max(1, expected);
    worst = Math.max(worst, Math.abs(Math.sqrt(distSq[i]!) - expected) / rounding);
  }
  return worst;
}

describe('distance to the line', () => {
  test('offset (3, 4) is 5 exactly (Pythagoras)', () => {
    const coverage = new Uint8Array(9 * 8);
    coverage[1 * 9 + 2] = 255;
    const { distSq } = distanceField(coverage, 9, 8);
    expect(distSq[5 * 9 + 5]).toBe(25);
  });

  test.each([
    [97, 61, 0.004, 1],
    [61, 97, 0.05, 2],
    [128, 33, 0.5, 3],
    [1, 57, 0.1, 4],
    [57, 1, 0.1, 5],
    [301, 211, 0.0005, 6],
  ])('%i × %i with %f line equals OpenCV everywhere', (width, height, share, seed) => {
    const coverage = randomMask(width, height, share, seed);
    // Without any line there is no distance to compare.
    coverage[Math.floor(coverage.length / 3)] = 255;
    const { distSq } = distanceField(coverage, width, height);
    expect(worstRounding(distSq, openCvDistance(coverage, width, height))).toBeLessThanOrEqual(4);
  });

  test.each([1, 7, 24, 64, 255, 300])(
    'within a reach of %i px it equals OpenCV, and saturates beyond',
    (reachPx) => {
      const { width, height, coverage } = drawLines(
        640,
        480,
        figure().map((points) => ({ points, widthPx: 3 })),
      );
      const { distSq } = distanceField(coverage, width, height, { reachPx });
      expect(worstRounding(distSq, openCvDistance(coverage, width, height), reachPx)).toBeLessThanOrEqual(4);
    },
  );

  test('the threshold says what is line', () => {
    const coverage = Uint8Array.from([0, 0, 90, 0, 0, 0, 200]);
    expect([...distanceField(coverage, 7, 1, { lineFrom: 80 }).distSq]).toEqual([4, 1, 0, 1, 4, 1, 0]);
    expect([...distanceField(coverage, 7, 1, { lineFrom: 201 }).distSq]).toEqual(Array(7).fill(64));
  });
});
