/** The mathematics under registration against OpenCV (`dft`, `solve`) and against line art drawn by resvg at a known place. */
import { Resvg } from '@resvg/resvg-js';
import { beforeAll, describe, expect, it } from 'vitest';
import { fft2 } from '../../src/line/fft.ts';
import { inkOf } from '../../src/line/ink.ts';
import { phaseShift } from '../../src/line/phase-correlation.ts';
import { reduce } from '../../src/line/reduce.ts';
import { solve } from '../../src/line/solve.ts';
import { seeded } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
beforeAll(async () => {
  cv = await loadOpenCv();
}, 120_000);

describe('fft2', () => {
  it.each([false, true])("agrees with OpenCV's dft, inverse %s", (inverse) => {
    const [width, height] = [32, 8];
    const random = seeded(61);
    const re = Float64Array.from({ length: width * height }, () => random() - 0.5);
    const im = Float64Array.from({ length: width * height }, () => random() - 0.5);
    const both = Array.from(re, (value, k) => [value, im[k]!]).flat();
    const source = cv.matFromArray(height, width, cv.CV_64FC2, both);
    const target = new cv.Mat();
    // Neither divides the inverse by the length.
    cv.dft(source, target, inverse ? cv.DFT_INVERSE : 0, 0);
    fft2(re, im, width, height, inverse);
    const theirs = target.data64F;
    for (let k = 0; k < re.length; k++) {
      expect(Math.abs(re[k]! - theirs[2 * k]!), `real part at ${k}`).toBeLessThan(1e-10);
      expect(Math.abs(im[k]! - theirs[2 * k + 1]!), `imaginary part at ${k}`).toBeLessThan(1e-10);
    }
    source.delete();
    target.delete();
  });

  it('refuses lengths that are no power of two', () => {
    const twelve = () => new Float64Array(12);
    expect(() => fft2(twelve(), twelve(), 12, 1, false)).toThrow('power-of-two length, received 12 and 12');
  });
});

describe('solve', () => {
  it.each([1, 2, 3, 6])("agrees with OpenCV's solve on %i unknowns", (n) => {
    const random = seeded(62 + n);
    const matrix = Float64Array.from({ length: n * n }, () => random() - 0.5);
    // A zero on the diagonal makes it look for another pivot.
    if (n > 1) matrix[0] = 0;
    const right = Float64Array.from({ length: n }, () => random() - 0.5);
    const a = cv.matFromArray(n, n, cv.CV_64FC1, [...matrix]);
    const b = cv.matFromArray(n, 1, cv.CV_64FC1, [...right]);
    const x = new cv.Mat();
    expect(cv.solve(a, b, x, cv.DECOMP_LU)).toBe(true);
    const ours = solve(matrix, right)!;
    for (let k = 0; k < n; k++) expect(Math.abs(ours[k]! - x.data64F[k]!)).toBeLessThan(1e-9);
    for (const mat of [a, b, x]) mat.delete();
  });

  it('has no answer for a singular system', () => {
    // The second row is twice the first.
    expect(solve(Float64Array.of(1, 2, 2, 4), Float64Array.of(3, 5))).toBeUndefined();
  });
});

describe('phase correlation', () => {
  const figure = (dx: number, dy: number) => {
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="300" height="220"><rect width="300" height="220" fill="#fff"/><g transform="translate(${dx} ${dy})" fill="none" stroke="#000" stroke-width="4"><path d="M60 160C70 60 150 40 190 90S250 170 210 180"/><ellipse cx="120" cy="110" rx="34" ry="21"/><path d="M150 150l58 12"/></g></svg>`;
    const data = new Uint8Array(new Resvg(svg).render().pixels);
    return reduce(inkOf({ width: 300, height: 220, channels: 4, data }), 1);
  };

  it.each([
    [0, 0],
    [7, -4],
    [0.5, 0.25],
    [-12.25, 9.75],
    [21.4, 13.3],
  ])('finds what resvg moved by %f, %f px, to a tenth of a px', (dx, dy) => {
    const found = phaseShift(figure(0, 0), figure(dx, dy));
    expect(Math.hypot(found.dx - dx, found.dy - dy)).toBeLessThan(0.1);
    expect(found.peak).toBeGreaterThan(0);
    expect(found.peak).toBeLessThanOrEqual(1);
  });
});
