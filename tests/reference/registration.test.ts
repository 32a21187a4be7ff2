/**
 * Registration against OpenCV's `findTransformECC` and against moves of known size.
 * Moves are made by drawing the same geometry at the moved place, so their truth is geometry, not code.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { ecc } from '../../src/line/ecc.ts';
import { reduce } from '../../src/line/reduce.ts';
import { isRefused } from '../../src/line/refused.ts';
import { applyMove, registerInk } from '../../src/line/register.ts';
import { drawLines, figure, moved, type Point, type TestInk } from '../support/draw-lines.ts';
import { loadOpenCv } from '../support/opencv.ts';

const WIDTH = 640;
const HEIGHT = 480;
const CENTRE: Point = [WIDTH / 2, HEIGHT / 2];

function drawn(dx: number, dy: number, angleRad = 0, widthPx = 4): TestInk {
  return drawLines(
    WIDTH,
    HEIGHT,
    figure().map((points) => ({ points: points.map((p) => moved(p, CENTRE, angleRad, dx, dy)), widthPx })),
  );
}

describe('registration', () => {
  let cv: Awaited<ReturnType<typeof loadOpenCv>>;
  beforeAll(async () => {
    cv = await loadOpenCv();
  });

  // A turn about the paper's centre and a shift, px. Sub-pixel on purpose.
  const moves: [dx: number, dy: number, angleDeg: number][] = [
    [0.3, -0.6, 0],
    [3.25, 1.5, 0],
    [-12.5, 7.75, 0],
    [31, -22.25, 0],
    [2.4, -1.3, 0.6],
    [-8.2, 5.1, -1.2],
  ];

  it.each(moves)('finds a move of %f, %f px and %f° within 0.05 px at the figure', (dx, dy, angleDeg) => {
    const angleRad = (angleDeg * Math.PI) / 180;
    const found = registerInk(drawn(0, 0), drawn(dx, dy, angleRad));
    if (isRefused(found)) throw new Error(found.refused);
    for (const point of [
      [230, 390],
      [486, 172],
      [300, 68],
    ] as Point[]) {
      const expected = moved(point, CENTRE, angleRad, dx, dy);
      const [x, y] = applyMove(found, { width: WIDTH, height: HEIGHT }, point[0], point[1]);
      expect(Math.hypot(x - expected[0], y - expected[1]), `at ${point.join()}`).toBeLessThan(0.05);
    }
  });

  it("agrees with OpenCV's findTransformECC within 0.02 px", () => {
    const from = drawn(0, 0);
    const to = drawn(1.7, -1.1, 0.006);
    const template = cv.matFromArray(HEIGHT, WIDTH, cv.CV_8UC1, from.coverage);
    const input = cv.matFromArray(HEIGHT, WIDTH, cv.CV_8UC1, to.coverage);
    const warp = cv.Mat.eye(2, 3, cv.CV_32FC1);
    const criteria = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 60, 1e-8);
    const mask = new cv.Mat();
    cv.findTransformECC(template, input, warp, cv.MOTION_EUCLIDEAN, criteria, mask, 1);
    const [a, b, tx, d, e, ty] = warp.data32F as unknown as [number, number, number, number, number, number];
    const ours = ecc(reduce(from, 1), reduce(to, 1), { dx: 0, dy: 0, angleRad: 0 }, { iterations: 40 });
    for (const [x, y] of [
      [229.5, 389.5],
      [485.5, 171.5],
    ] as Point[]) {
      const theirs: Point = [a * x + b * y + tx, d * x + e * y + ty];
      // Both work on pixel indices, where a pixel's centre is whole.
      const mine = moved([x, y], [(WIDTH - 1) / 2, (HEIGHT - 1) / 2], ours.angleRad, ours.dx, ours.dy);
      expect(Math.hypot(mine[0] - theirs[0], mine[1] - theirs[1])).toBeLessThan(0.02);
    }
    for (const mat of [template, input, warp, mask]) mat.delete();
  });

  it('finds a clean line under a rough of several strokes', () => {
    const strokes = [
      [-2, 1.4],
      [1.5, -1],
      [0.5, 2],
      [0, -2.4],
    ] as const;
    const rough = drawLines(
      WIDTH,
      HEIGHT,
      strokes.flatMap(([sx, sy]) =>
        figure().map((points) => ({
          points: points.map((p) => moved(p, CENTRE, 0, sx - 9, sy + 6)),
          widthPx: 3,
          darkness: 0.5,
        })),
      ),
    );
    const found = registerInk(drawn(0, 0), rough, { turns: false });
    if (isRefused(found)) throw new Error(found.refused);
    // The strokes' own mean is the truth: their offsets add up to nothing.
    expect(found.dxPx).toBeCloseTo(-9, 0);
    expect(found.dyPx).toBeCloseTo(6, 0);
    expect(found.agreement).toBeGreaterThan(found.agreementUnmoved + 0.2);
  });

  it('refuses a blank drawing', () => {
    const blank = { width: WIDTH, height: HEIGHT, coverage: new Uint8Array(WIDTH * HEIGHT) };
    expect(registerInk(drawn(0, 0), blank)).toEqual({ refused: 'one of the two drawings is blank' });
  });
});
