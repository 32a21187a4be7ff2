/** What a dismissal holds on to: the finding's key, and the digest of the line at its place. */
import { expect, test } from 'vitest';
import { findingsOf } from '../../../src/check/findings.ts';
import { measureKey } from '../../../src/check/jobs.ts';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import { measureDrawing } from '../../../src/line/measure-drawing.ts';
import type { Picture } from '../../../src/line/picture.ts';
import type { Drawing, ImageRef, Shot } from '../../../src/shot/model.ts';
import { drawLines, type Point } from '../../support/draw-lines.ts';

const [width, height] = [640, 400];
const picture = (lines: readonly (readonly Point[])[]): Picture => {
  const { coverage } = drawLines(
    width,
    height,
    lines.map((points) => ({ points, widthPx: 6 })),
  );
  return { width, height, channels: 1, data: coverage.map((a) => 255 - a) };
};

/** A box that opens 10 px in its right side, `shifted` px further down; its far corner may be drawn round. */
function box({ shifted = 0, roundCorner = false } = {}): Point[] {
  const [top, low] = [200 + shifted, 216 + shifted];
  const corner: Point[] = roundCorner
    ? [
        [80, 60],
        [50, 90],
      ]
    : [[50, 60]];
  return [[450, top], [450, 60], ...corner, [50, 330], [450, 330], [450, low]];
}
const closed: Point[] = [...box(), [450, 200]];
const image = (name: string): ImageRef => ({
  sha256: name.repeat(64),
  width,
  height,
  mediaType: 'image/png',
  byteLength: 1,
});

/** The leak found on one drawing whose newest take looks so. */
function leakOf(name: string, take: readonly (readonly Point[])[]) {
  const drawing: Drawing = {
    label: '7',
    role: 'key',
    rough: image('f'),
    takes: [{ number: 1, image: image(name) }],
  };
  const shot: Shot = {
    id: 's',
    title: 'The box',
    fps: 24,
    sizePx: [width, height],
    levels: [{ name: '', drawings: [drawing], exposures: [{ drawing: '7', frame: 1, length: 2 }] }],
  };
  const key = measureKey(drawing, defaultTolerances.leakPx) ?? '';
  const measures = measureDrawing(picture(take), picture([closed]), { mostGapPx: defaultTolerances.leakPx });
  const found = findingsOf(
    shot,
    { results: new Map([[key, measures]]), failed: new Map() },
    defaultTolerances,
  );
  const leak = found.find(({ check }) => check === 'leaks');
  if (!leak) throw new Error(`no leak among ${found.map(({ message }) => message).join('; ') || 'nothing'}`);
  return leak;
}

const dismissed = leakOf('a', [box()]);

test('a new take redrawn elsewhere keeps the dismissal, even on the same stroke', () => {
  const { key, lineDigest } = leakOf('b', [box({ roundCorner: true })]);
  expect([key, lineDigest]).toEqual([dismissed.key, dismissed.lineDigest]);
});

test('a new take with another line at the place brings the finding back', () => {
  // Two pixels lower the gap is still in the same cell of the key; the pixels are others.
  const { key, lineDigest } = leakOf('c', [box({ shifted: 2 })]);
  expect(key).toBe(dismissed.key);
  expect(lineDigest).not.toBe(dismissed.lineDigest);
});
