/**
 * Spacing against moves of known fraction: every in-between is drawn by geometry at its place on the path,
 * so the truth is the path's own.
 */
import { describe, expect, it } from 'vitest';
import { arcFraction } from '../../src/line/arc-fraction.ts';
import { isRefused } from '../../src/line/refused.ts';
import { measureSpacing, type Spacing } from '../../src/line/spacing.ts';
import { figure, moved, type Point } from '../support/draw-lines.ts';
import { samplesOf } from '../support/samples-of.ts';

const PAPER = { width: 640, height: 480 };
/** The figure's arm is its fifth line; head, eye and nose are the first three. */
const ARM = 4;

type Path = (point: Point, line: number, t: number) => Point;

/** Small deterministic noise, uniform within ±`sizePx`. */
function shaken(point: Point, sizePx: number, seed: number): Point {
  const noise = (k: number) => ((Math.sin(k * 12.9898 + seed) * 43758.5453) % 1) * sizePx;
  return [point[0] + noise(point[0] * 7 + point[1]), point[1] + noise(point[1] * 5 - point[0])];
}

function drawing(path: Path, t: number, shakePx = 0) {
  return samplesOf(
    figure().map((points, line) => points.map((p) => shaken(path(p, line, t), shakePx, t * 100))),
    2,
  );
}

function spacing(path: Path, t: number, shakePx = 0): Spacing {
  const found = measureSpacing(
    drawing(path, 0, shakePx),
    drawing(path, 1, shakePx),
    drawing(path, t, shakePx),
    PAPER,
  );
  if (isRefused(found)) throw new Error(found.refused);
  return found;
}

const shift =
  (dx: number, dy: number): Path =>
  (p, _line, t) =>
    moved(p, p, 0, dx * t, dy * t);

describe('arc fraction', () => {
  it('reads a third of a quarter turn as a third, where its chord reads 0.317', () => {
    const at = (degrees: number): Point => [
      100 * Math.cos((degrees * Math.PI) / 180),
      100 * Math.sin((degrees * Math.PI) / 180),
    ];
    const [a, c, b] = [at(0), at(30), at(90)];
    const chord =
      ((c[0] - a[0]) * (b[0] - a[0]) + (c[1] - a[1]) * (b[1] - a[1])) /
      ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2);
    expect(chord).toBeCloseTo(0.317, 3);
    const found = arcFraction(a, c, b);
    expect(found.fraction).toBeCloseTo(1 / 3, 6);
    // Length of the arc, r·φ.
    expect(found.lengthPx).toBeCloseTo((100 * Math.PI) / 2, 6);
  });

  it('projects on a straight path, before its start and beyond its end too', () => {
    expect(arcFraction([0, 0], [3, 0], [12, 0]).fraction).toBeCloseTo(0.25, 9);
    expect(arcFraction([0, 0], [-3, 4], [12, 0])).toMatchObject({ fraction: -0.25, offChordPx: 4 });
    expect(arcFraction([5, 5], [8, 9], [5, 5]).fraction).toBeNaN();
  });
});

describe('spacing', () => {
  it.each([
    ['a shift of 21 px', shift(20, 6), 1 / 3],
    ['a shift of 45 px', shift(-40, 21), 0.5],
    ['a shift of 90 px', shift(88, -20), 0.25],
    [
      'a quarter turn',
      (p: Point, _: number, t: number) => moved(p, [300, 240], (t * Math.PI) / 2, 0, 0),
      1 / 3,
    ],
    [
      'a swing about a far pivot',
      (p: Point, _: number, t: number) => moved(p, [300, 900], 0.3 * t, 0, 0),
      0.4,
    ],
    [
      'an arc without a turn',
      (p: Point, _: number, t: number) => moved(p, p, 0, 100 * Math.sin(1.2 * t), 100 * Math.cos(1.2 * t)),
      1 / 3,
    ],
    [
      'squash and stretch',
      ([x, y]: Point, _: number, t: number): Point => [
        300 + (x - 300) * (1 + 0.2 * t) + 40 * t,
        460 + (y - 460) * (1 - 0.15 * t),
      ],
      0.5,
    ],
  ] as [string, Path, number][])('reads %s within 0.02', (_, path, t) => {
    expect(Math.abs(spacing(path, t).measured - t)).toBeLessThan(0.02);
  });

  it('reads shaky lines within 0.02: half a px of noise', () => {
    expect(Math.abs(spacing(shift(30, 12), 0.5, 0.5).measured - 0.5)).toBeLessThan(0.02);
  });

  it('finds the head on a third when the rest is on a half', () => {
    const late: Path = (p, line, t) => {
      const own = line < 3 && t === 0.5 ? 1 / 3 : t;
      return moved(p, p, 0, 50 * own, -12 * own);
    };
    const { measured, parts } = spacing(late, 0.5);
    expect(Math.abs(measured - 0.5)).toBeLessThan(0.02);
    const head = parts.find((part) => Math.abs(part.measured - 1 / 3) < 0.02);
    expect(head, 'a part at a third').toBeDefined();
    // The head with its nose lies in [230, 68, 162, 164], a third of the way along (50, −12).
    const [x, y, width, height] = head!.bbox;
    expect(head!.lengthPx).toBeGreaterThan(150);
    expect(x).toBeGreaterThan(230 + 50 / 3 - 8);
    expect(x + width).toBeLessThan(392 + 50 / 3 + 8);
    expect(y).toBeGreaterThan(68 - 4 - 8);
    expect(y + height).toBeLessThan(232 - 4 + 8);
  });

  it('finds a swinging arm on a third when the rest is on a half', () => {
    const late: Path = (p, line, t) => {
      const own = line === ARM && t === 0.5 ? 1 / 3 : t;
      const swung = line === ARM ? moved(p, [378, 293], -0.9 * own, 0, 0) : p;
      return moved(swung, swung, 0, 36 * t, 0);
    };
    const { measured, parts } = spacing(late, 0.5);
    expect(Math.abs(measured - 0.5)).toBeLessThan(0.02);
    const arm = parts.filter((part) => part.bbox[0] > 380 && part.lengthPx > 30);
    expect(
      arm.some((part) => part.measured < 0.44),
      JSON.stringify(parts),
    ).toBe(true);
  });

  it('reads what is left when a part is hidden in the in-between', () => {
    const path = shift(44, 10);
    const without = samplesOf(
      figure()
        .filter((_, line) => line !== ARM)
        .map((points) => points.map((p) => path(p, 0, 0.5))),
      2,
    );
    const found = measureSpacing(drawing(path, 0), drawing(path, 1), without, PAPER);
    if (isRefused(found)) throw new Error(found.refused);
    expect(Math.abs(found.measured - 0.5)).toBeLessThan(0.02);
  });

  it('says how sure it is: a shaky line less than a steady one', () => {
    const [steady, shaky] = [0, 1.5].map((shakePx) => spacing(shift(30, 12), 0.5, shakePx).error);
    expect(steady).toBeGreaterThan(0);
    expect(steady).toBeLessThan(0.03);
    expect(shaky).toBeGreaterThan(steady!);
  });

  it('reads a large drawing, of whose line only each so-many-th point is matched', () => {
    // Points 12 px apart stand for a line that is looked for within 3 px.
    const at = (t: number) =>
      samplesOf(
        figure().flatMap((points) =>
          [0, 1].map((copy) => points.map(([x, y]): Point => [6 * x + 9 * copy + 300 * t, 6 * y + 90 * t])),
        ),
        2,
      );
    const found = measureSpacing(at(0), at(1), at(1 / 3), { width: 4096, height: 2880 });
    if (isRefused(found)) throw new Error(found.refused);
    expect(Math.abs(found.measured - 1 / 3)).toBeLessThan(0.01);
    // All of it moves as one: none of its line is lost.
    const line = figure().reduce(
      (sum, points) =>
        sum +
        points
          .slice(1)
          .reduce((own, p, k) => own + Math.hypot(p[0] - points[k]![0], p[1] - points[k]![1]), 0),
      0,
    );
    expect(found.parts[0]!.lengthPx).toBeGreaterThan(0.8 * 12 * line);
  });

  it('refuses one place for a drawing of which half lies at another, and says both', () => {
    const halves: Path = ([x, y], _, t) => [x + 60 * t, y];
    const pair = (t: number, late: number) =>
      samplesOf(
        [0, 1].flatMap((copy) =>
          figure().map((points) =>
            points.map((p): Point => {
              const [x, y] = halves(p, 0, copy === 0 ? t : late);
              return [x + 700 * copy, y];
            }),
          ),
        ),
        2,
      );
    const found = measureSpacing(pair(0, 0), pair(1, 1), pair(0.5, 0.25), { width: 1400, height: 480 });
    expect(found).toMatchObject({
      refused: expect.stringMatching(/about half of it lies at 0\.(5|25|49|24|26|51)/),
    });
  });

  it('refuses what hardly moves, and blanks, and says so', () => {
    const still = shift(2, 1);
    expect(measureSpacing(drawing(still, 0), drawing(still, 1), drawing(still, 0.5), PAPER)).toEqual({
      refused: expect.stringContaining('it moves too little to tell'),
    });
    expect(measureSpacing(samplesOf([]), drawing(still, 1), drawing(still, 0.5), PAPER)).toEqual({
      refused: 'the first drawing is blank',
    });
  });
});
