import { expect, test } from 'vitest';
import { measureDrawing } from '../../../src/line/measure-drawing.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { isRefused } from '../../../src/line/refused.ts';
import { Workspace } from '../../../src/line/workspace.ts';
import { arc, drawLines, type Point } from '../../support/draw-lines.ts';

const picture = (lines: { points: readonly Point[]; widthPx: number; darkness?: number }[]): Picture => {
  const { width, height, coverage } = drawLines(500, 380, lines);
  return { width, height, channels: 1, data: coverage.map((a) => 255 - a) };
};
const ball = arc(200, 180, 120, 110);
const cuff: Point[] = [
  [380, 60],
  [440, 120],
  [400, 300],
];

test('one call measures a clean drawing against its rough', () => {
  const clean = picture([
    { points: ball, widthPx: 6 },
    { points: cuff, widthPx: 6 },
  ]);
  const rough = picture([
    { points: ball, widthPx: 10, darkness: 0.7 },
    { points: cuff, widthPx: 10, darkness: 0.7 },
  ]);
  const measures = measureDrawing(clean, rough);
  expect(measures.sizePx).toEqual([500, 380]);
  // Ink from 200 − 120 − 3 to 440 + 3, and from 60 − 3 to 300 + 3 and their round ends.
  expect(measures.inkBox).toEqual([77, 57, 366, 246]);
  const { weight, volume, drift, registration } = measures;
  if (isRefused(weight) || isRefused(volume) || isRefused(drift) || isRefused(registration)) {
    throw new Error(JSON.stringify({ weight, volume, drift, registration }));
  }
  expect(Math.abs(weight.medianPx - 6)).toBeLessThan(0.1);
  expect(Math.abs(volume.enclosedPx2 / (Math.PI * 120 * 110) - 1)).toBeLessThan(0.002);
  expect(Math.abs(Number(volume.againstRough) - 1)).toBeLessThan(0.02);
  expect(drift.medianPx).toBeLessThan(0.5);
  expect(Math.hypot(registration.dxPx, registration.dyPx)).toBeLessThan(0.3);
  expect([measures.leaks, measures.specks]).toEqual([[], []]);
});

test('without a rough, what needs one says so and the rest is measured', () => {
  const measures = measureDrawing(picture([{ points: cuff, widthPx: 6 }]), undefined);
  const refused = { refused: 'The drawing has no rough to compare it with.' };
  expect([measures.registration, measures.drift]).toEqual([refused, refused]);
  expect(isRefused(measures.weight)).toBe(false);
  expect(isRefused(measures.volume)).toBe(true);
});

test('a blank drawing is no error: every measure says why it was not made', () => {
  const blank = picture([]);
  const measures = measureDrawing(blank, blank);
  const { weight, volume, leaks, specks, registration, drift, wobble } = measures;
  for (const measure of [weight, volume, leaks, specks, registration, drift, wobble]) {
    expect(isRefused(measure)).toBe(true);
  }
  expect(measures.inkBox).toEqual([0, 0, 0, 0]);
});

test('a workspace used before changes nothing', () => {
  const workspace = new Workspace();
  const clean = picture([{ points: ball, widthPx: 6 }]);
  measureDrawing(picture([{ points: cuff, widthPx: 30 }]), clean, {}, workspace);
  expect(measureDrawing(clean, undefined, {}, workspace)).toEqual(measureDrawing(clean, undefined));
});

test('the widest gap asked for decides what is a leak', () => {
  // 0.2 rad of about 115 px, less two round ends of 3 px: some 16 px.
  const open = picture([{ points: arc(200, 180, 120, 110, 0.2, 2 * Math.PI), widthPx: 6 }]);
  const leaksAt = (mostGapPx: number) => measureDrawing(open, undefined, { mostGapPx }).leaks;
  expect([leaksAt(24), leaksAt(12)].map((leaks) => (isRefused(leaks) ? -1 : leaks.length))).toEqual([1, 0]);
});
