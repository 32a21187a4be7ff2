/**
 * Enclosed areas up to the middle of the line, against geometry: discs πr², ellipses πab, rectangles ab; and
 * against OpenCV's `moments` of a filled shape, rendered by resvg.
 */
import { Resvg } from '@resvg/resvg-js';
import { beforeAll, describe, expect, test } from 'vitest';
import { measureDrift } from '../../src/line/drift.ts';
import { inkOf } from '../../src/line/ink.ts';
import { lineSamples } from '../../src/line/line-samples.ts';
import { outlineOf } from '../../src/line/outline.ts';
import type { Picture } from '../../src/line/picture.ts';
import { isRefused } from '../../src/line/refused.ts';
import { regionsOf } from '../../src/line/regions.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { measureVolume } from '../../src/line/volume.ts';
import { volumeAgainstRough } from '../../src/line/volume-against-rough.ts';
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
  const samples = lineSamples(ink, skeletonOf(line));
  return { ink, regions, samples, volume: measureVolume(ink, line, regions, samples) };
}

function enclosedPx2(picture: Picture): number {
  const { volume } = measured(picture);
  if (isRefused(volume)) throw new Error(volume.refused);
  return volume.enclosedPx2;
}

const outline = (shape: string, widthPx: number, colour = '#000') =>
  shape.replace('/>', ` fill="none" stroke="${colour}" stroke-width="${widthPx}"/>`);

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

describe('against the rough', () => {
  /** A clean ring against rough strokes. */
  function shareOf(clean: Picture, rough: Picture) {
    const { ink, regions, samples, volume } = measured(clean);
    if (isRefused(volume)) throw new Error(volume.refused);
    const drift = measureDrift({ clean: samples, cleanSize: clean, roughInk: inkOf(rough), rough });
    if (isRefused(drift)) throw new Error(drift.refused);
    return volumeAgainstRough(volume, regions, outlineOf(ink, regions, samples), drift.acrossPx);
  }
  const disc = (radius: number) => `<circle cx="251" cy="232" r="${radius}"/>`;
  const cross = '<path d="M120 225 H 380 M 258 100 V 360"/>';

  test.each([103, 110, 95])('a clean disc of radius %d against 100 is the square of that', (radius) => {
    // Pencil of 12 px under construction that cuts the disc in four and an outline that does not close.
    const open = '<path d="M351 232 A 100 100 0 1 1 341 188"/>';
    const rough = drawn(outline(open, 12, '#444') + outline(cross, 4, '#7aa0e0'));
    const { whole, regions } = shareOf(drawn(outline(disc(radius), 5)), rough);
    // Where construction crosses the outline, it is the nearest line: a fiftieth of the outline here.
    expect(Math.abs(Number(whole) - (radius / 100) ** 2)).toBeLessThan(0.02);
    expect(regions).toEqual([whole]);
  });

  test('a shift changes no volume', () => {
    const rough = drawn(outline('<circle cx="259" cy="226" r="100"/>', 9, '#444'));
    expect(Math.abs(Number(shareOf(drawn(outline(disc(100), 5)), rough).whole) - 1)).toBeLessThan(0.01);
  });

  test('a region that the rough does not draw has no share, and says so', () => {
    const { whole, regions } = shareOf(
      drawn(outline(disc(60), 5)),
      drawn(outline('<path d="M180 300 H 330"/>', 9)),
    );
    expect(regions).toEqual([undefined]);
    expect(whole).toEqual({ refused: 'The rough draws none of the same regions.' });
  });
});
