import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  apply,
  clamped,
  fitted,
  gripped,
  invert,
  mirrored,
  paperToStage,
} from '../../../src/stage/camera.ts';
import type { Camera } from '../../../src/stage/types.ts';

const frame = [30, 20, 700, 500] as const;
const paperPx = [1920, 1080] as const;
const cameras = fc.record({
  centre: fc.tuple(
    fc.double({ min: 200, max: 1700, noNaN: true }),
    fc.double({ min: 200, max: 900, noNaN: true }),
  ),
  zoom: fc.double({ min: 0.3, max: 8, noNaN: true }),
  angleRad: fc.double({ min: -3.1, max: 3.1, noNaN: true }),
  mirrored: fc.boolean(),
});
const points = fc.tuple(
  fc.double({ min: -50, max: 2000, noNaN: true }),
  fc.double({ min: -50, max: 1200, noNaN: true }),
);
const check = { seed: 2026, numRuns: 200 };

describe('paperToStage', () => {
  it('puts the camera’s centre in the middle of the frame, turns clockwise and mirrors left to right', () => {
    // By hand: a quarter turn sends paper right to screen down; zoom 2.
    const camera: Camera = { centre: [100, 50], zoom: 2, angleRad: Math.PI / 2, mirrored: false };
    const at = (camera: Camera, point: readonly [number, number]) =>
      apply(paperToStage(camera, frame), point);
    expect(at(camera, [100, 50])).toEqual([380, 270]);
    const [x, y] = at(camera, [110, 50]);
    expect([x, y].map((value) => Math.round(value * 1e6) / 1e6)).toEqual([380, 290]);
    expect(at({ ...camera, angleRad: 0, mirrored: true }, [110, 50])).toEqual([360, 270]);
  });
  it('is undone by its inverse', () =>
    fc.assert(
      fc.property(cameras, points, (camera, point) => {
        const there = paperToStage(camera, frame);
        const [x, y] = apply(invert(there), apply(there, point));
        expect(x).toBeCloseTo(point[0], 6);
        expect(y).toBeCloseTo(point[1], 6);
      }),
      check,
    ));
});

describe('gripped', () => {
  it('keeps the paper under the fingers', () =>
    fc.assert(
      fc.property(cameras, (camera) => {
        const grip = { from: [300, 200], to: [330, 180], scale: 1.1, turnRad: 0.2 } as const;
        const held = apply(invert(paperToStage(camera, frame)), grip.from);
        const after = gripped(camera, grip, paperPx, frame);
        // Near the paper's edge the camera is held back; that is what `clamped` is for.
        fc.pre(
          after.centre[0] > 0 && after.centre[0] < 1920 && after.centre[1] > 0 && after.centre[1] < 1080,
        );
        const [x, y] = apply(paperToStage(after, frame), held);
        expect(x).toBeCloseTo(330, 6);
        expect(y).toBeCloseTo(180, 6);
      }),
      check,
    ));
});

describe('limits', () => {
  it('hold the middle of the view on the paper', () => {
    const lost: Camera = { centre: [-500, 99999], zoom: 1, angleRad: 0, mirrored: false };
    expect(clamped(lost, paperPx, frame).centre).toEqual([0, 1080]);
  });
  it('hold the zoom between 0.4 of the fitted one and 32', () => {
    const at = (zoom: number) =>
      clamped({ centre: [0, 0], zoom, angleRad: 0, mirrored: false }, paperPx, frame).zoom;
    // Fitted: (700 − 24) / 1920.
    expect(at(0)).toBeCloseTo(((700 - 4) / 1920) * 0.4, 12);
    expect(at(1000)).toBe(32);
  });
});

it('fitted shows the whole paper upright and stays mirrored', () => {
  const camera = fitted({ centre: [0, 0], zoom: 9, angleRad: 1, mirrored: true }, paperPx, frame);
  expect(camera).toEqual({ centre: [960, 540], zoom: (700 - 4) / 1920, angleRad: 0, mirrored: true });
});

it('mirrored twice is the same camera, and once is the mirror image of the view', () => {
  const camera: Camera = { centre: [700, 400], zoom: 0.7, angleRad: 0.6, mirrored: false };
  expect(mirrored(mirrored(camera))).toEqual(camera);
  const middle = frame[0] + frame[2] / 2;
  const [x, y] = apply(paperToStage(camera, frame), [900, 250]);
  const [mx, my] = apply(paperToStage(mirrored(camera), frame), [900, 250]);
  expect(mx).toBeCloseTo(2 * middle - x, 9);
  expect(my).toBeCloseTo(y, 9);
});
