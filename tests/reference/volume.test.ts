/**
 * Enclosed areas up to the middle of the line, against geometry: discs πr², ellipses πab, rectangles ab; and
 * against OpenCV's `moments` of a filled shape, rendered by resvg.
 */
import { Resvg } from '@resvg/resvg-js';
import { beforeAll, describe, expect, test } from 'vitest';
import { inkOf } from '../../src/line/ink.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import type { Picture } from '../../src/line/picture.ts';
import { isRefused } from '../../src/line/refused.ts';
import { regionsOf } from '../../src/line/regions.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { measureVolume, volumeAgainstRough } from '../../src/line/volume.ts';
import { arc, drawLines, moved } from '../support/draw-lines.ts';
import { loadOpenCv } from '../support/opencv.ts';

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
beforeAll(async () => {
  cv = await loadOpenCv();
});

function drawn(shape: string, width = 520, height = 460): Picture {
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${shape}</svg>`;
  const { pixels } = new Resvg(svg, { background: 'white', font: { loadSystemFonts: false } }).render();
  return { width, height, channels: 4, data: new Uint8Array(pixels) };
}

function measured(picture: Picture) {
  const ink = inkOf(picture);
  const line = lineRuns(ink.coverage, ink.width, ink.height);
  const regions = regionsOf(line);
  return { regions, volume: measureVolume(ink, line, regions, lineSamples(ink, skeletonOf(line))) };
}

function enclosedPx2(picture: Picture): number {
  const { volume } = measured(picture);
  if (isRefused(volume)) throw new Error(volume.refused);
  return volume.enclosedPx2;
}

const outline = (shape: string, widthPx: number) =>
  shape.replace('/>', ` fill="none" stroke="#000" stroke-width="${widthPx}"/>`);

/** A ring or ellipse by brute geometry: the renderer's own circles are up to 0.09 px off in radius. */
function ring(a: number, b: number, widthPx: number, tiltRad = 0): Picture {
  const points = arc(0, 0, a, b, 0, 2 * Math.PI, 2000).map((point) =>
    moved(point, [0, 0], tiltRad, 251.3, 228.6),
  );
  const { width, height, coverage } = drawLines(520, 460, [{ points, widthPx }]);
  return { width, height, channels: 1, data: coverage.map((c) => 255 - c) };
}

describe('area within 0.2 % whatever the line weight', () => {
  test.each([
    [18, 3],
    [40, 4],
    [57, 9],
    [120, 3],
    [150, 20],
  ])('disc of radius %i px, line %i px', (radius, widthPx) => {
    const truthPx2 = Math.PI * radius * radius;
    expect(Math.abs(enclosedPx2(ring(radius, radius, widthPx)) / truthPx2 - 1)).toBeLessThan(0.002);
  });

  test.each([
    [120, 70, 8],
    [150, 60, 3],
    [90, 45, 5],
    [40, 22, 4],
  ])('ellipse %i × %i, line %i px', (a, b, widthPx) => {
    const picture = ring(a, b, widthPx, 0.3);
    expect(Math.abs(enclosedPx2(picture) / (Math.PI * a * b) - 1)).toBeLessThan(0.002);
  });

  test('an outline of no simple form, against OpenCV moments of the same shape filled', () => {
    const shape = '<path d="M120 90 C 260 20 420 120 400 230 S 300 420 190 380 S 40 200 120 90 Z"/>';
    const filled = drawn(shape);
    const grey = Array.from({ length: 520 * 460 }, (_, i) => 255 - filled.data[4 * i]!);
    const mat = cv.matFromArray(460, 520, cv.CV_8U, grey);
    const truthPx2 = cv.moments(mat, false).m00 / 255;
    mat.delete();
    expect(Math.abs(enclosedPx2(drawn(outline(shape, 7))) / truthPx2 - 1)).toBeLessThan(0.002);
  });
});

test('regions side by side share the line between them: together they are the whole', () => {
  const shape = '<path d="M101 80 H 401 V 380 H 101 Z M 221 80 V 380"/>';
  const { volume } = measured(drawn(outline(shape, 6)));
  if (isRefused(volume)) throw new Error(volume.refused);
  expect(volume.regions.map(({ areaPx2 }) => Math.round(areaPx2 / 100))).toEqual([540, 360]);
  expect(volume.regions[0]!.bbox).toEqual([224, 83, 174, 294]);
});

test('an open line encloses nothing, and says so', () => {
  const { volume } = measured(drawn(outline('<path d="M101 80 H 401 V 380"/>', 6)));
  expect(volume).toEqual({ refused: 'No line closes round a region, so there is no volume to measure.' });
});

test('a clean disc one tenth larger than the rough one is 1.21 of its volume', () => {
  const clean = measured(ring(110, 110, 4));
  const rough = measured(ring(100, 100, 14));
  if (isRefused(clean.volume)) throw new Error(clean.volume.refused);
  const share = volumeAgainstRough(clean.volume, rough.regions, 14);
  expect(share).toBeGreaterThan(1.19);
  expect(share).toBeLessThan(1.23);
  expect(
    isRefused(Object(volumeAgainstRough(clean.volume, regionsOf(lineRuns(new Uint8Array(4), 2, 2)), 3))),
  ).toBe(true);
});
