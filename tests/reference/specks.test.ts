/** Specks and pinholes against OpenCV's components (4.11), and by hand. */
import { beforeAll, expect, test } from 'vitest';
import { fillFrom } from '../../src/line/fill.ts';
import { findLeaks } from '../../src/line/leaks.ts';
import { isRefused } from '../../src/line/refused.ts';
import { regionsOf } from '../../src/line/regions.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { findSpecks } from '../../src/line/specks.ts';
import { arc, drawLines } from '../support/draw-lines.ts';
import { seeded } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
beforeAll(async () => {
  cv = await loadOpenCv();
});

const paper = { kind: 'white', level: [255, 255, 255], whitePoint: 0, blackPoints: [] } as const;

function specksIn(drawing: { width: number; height: number; coverage: Uint8Array }, options = {}) {
  const ink = { ...drawing, paper };
  const line = lineRuns(ink.coverage, ink.width, ink.height);
  return findSpecks(ink, line, regionsOf(line), options);
}

test('every speck strewn over a drawing, and no other ink, with OpenCV’s area', () => {
  const drawing = drawLines(400, 300, [{ points: arc(180, 150, 120, 90), widthPx: 5 }]);
  const random = seeded(61);
  let strewn = 0;
  while (strewn < 25) {
    const [x, y] = [Math.floor(8 + 380 * random()), Math.floor(8 + 280 * random())];
    const clear = Array.from(
      { length: 19 * 19 },
      (_, k) => [x - 8 + (k % 19), y - 8 + Math.floor(k / 19)] as const,
    );
    if (clear.some(([cx, cy]) => (drawing.coverage[cy * 400 + cx] ?? 0) > 0)) continue;
    const side = [1, 3, 5, 8][strewn % 4]!;
    for (let k = 0; k < side * side; k++) {
      drawing.coverage[(y + Math.floor(k / side)) * 400 + x + (k % side)] = 255;
    }
    strewn++;
  }
  const mask = cv.matFromArray(
    300,
    400,
    cv.CV_8U,
    Array.from(drawing.coverage, (a) => (a >= 102 ? 1 : 0)),
  );
  const [labels, stats, centroids] = [new cv.Mat(), new cv.Mat(), new cv.Mat()];
  const count = cv.connectedComponentsWithStats(mask, labels, stats, centroids, 8);
  const areas = Array.from({ length: count - 1 }, (_, k) => stats.data32S[5 * (k + 1) + 4]!).filter(
    (a) => a <= 64,
  );
  for (const mat of [mask, labels, stats, centroids]) mat.delete();
  const found = specksIn(drawing, { alonePx: 0 });
  const sorted = (values: number[]) => values.sort((a, b) => a - b);
  expect(sorted(found.map(({ areaPx2 }) => areaPx2))).toEqual(sorted(areas));
});

test('a crumb beside a line belongs to it; the same crumb in the open is a speck; a hole is a pinhole', () => {
  const drawing = drawLines(120, 90, [
    {
      points: [
        [20, 40],
        [100, 40],
      ],
      widthPx: 12,
    },
  ]);
  for (const i of [52 * 120 + 30, 75 * 120 + 60, 75 * 120 + 61]) drawing.coverage[i] = 255;
  drawing.coverage[40 * 120 + 70] = 0;
  expect(specksIn(drawing, { alonePx: 8 })).toEqual([
    { kind: 'pinhole', xPx: 70.5, yPx: 40.5, areaPx2: 1 },
    { kind: 'speck', xPx: 61, yPx: 75.5, areaPx2: 2 },
  ]);
  expect(specksIn(drawing, { alonePx: 3 }).filter(({ kind }) => kind === 'speck')).toHaveLength(2);
  expect(specksIn(drawing, { alonePx: 8, mostSpeckPx2: 1, mostPinholePx2: 0 })).toHaveLength(0);
});

test('the paint test: a closed ring holds, an open one runs out through its gap, and line takes no paint', () => {
  const fillOf = (openRad: number, x: number, y: number) => {
    const ink = {
      ...drawLines(300, 260, [{ points: arc(150, 130, 80, 80, openRad, 2 * Math.PI), widthPx: 6 }]),
      paper,
    };
    const line = lineRuns(ink.coverage, 300, 260);
    const leaks = findLeaks(ink, line, skeletonOf(line), { mostGapPx: 24 });
    return fillFrom({ regions: regionsOf(line), leaks }, x, y);
  };
  const held = fillOf(0, 150, 130);
  if (isRefused(held)) throw new Error(held.refused);
  expect([held.holds, held.through.length]).toEqual([true, 0]);
  // Inner disc of radius 77, edge taken at 0.4 coverage: π·76.9².
  expect(Math.abs(held.areaPx2 / (Math.PI * 76.9 ** 2) - 1)).toBeLessThan(0.005);
  const runs = Array.from(
    { length: held.runs.length / 3 },
    (_, k) => held.runs[3 * k + 2]! - held.runs[3 * k + 1]!,
  );
  expect(runs.reduce((sum, length) => sum + length, 0)).toBe(held.areaPx2);

  // 0.2 rad of a radius of 80 px leaves 16 px between the ends, less a round cap of 3 px at each.
  const open = fillOf(0.2, 150, 130);
  if (isRefused(open)) throw new Error(open.refused);
  expect([open.holds, open.through.length]).toEqual([false, 1]);
  expect(Math.abs(open.through[0]!.widthPx - 10)).toBeLessThan(1);
  expect(Math.hypot(open.through[0]!.xPx - 229.6, open.through[0]!.yPx - 138)).toBeLessThan(2);

  expect(fillOf(0, 150, 50)).toEqual({ refused: 'That place is line; a fill starts on bare paper.' });
  expect(fillOf(0, -1, 50)).toEqual({ refused: 'That place lies outside the drawing.' });
});
