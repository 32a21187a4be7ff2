/** Drift on geometry of known places; every expected length and amount is the geometry's own. */
import { describe, expect, it } from 'vitest';
import { type Drift, measureDrift } from '../../../src/line/drift.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { isRefused } from '../../../src/line/refused.ts';
import { drawLines, figure, moved, type Point } from '../../support/draw-lines.ts';
import { samplesOf } from '../../support/samples-of.ts';

const WIDTH = 640;
const HEIGHT = 480;
const size = { width: WIDTH, height: HEIGHT };
const MOUTH: Point[] = [
  [290, 200],
  [310, 206],
  [335, 198],
];

function rough(lines: readonly (readonly Point[])[], extra: { points: Point[]; darkness: number }[] = []) {
  return drawLines(WIDTH, HEIGHT, [
    ...lines.map((points) => ({ points, widthPx: 4 })),
    ...extra.map((line) => ({ ...line, widthPx: 4 })),
  ]);
}

function drift(
  clean: readonly (readonly Point[])[],
  roughInk: ReturnType<typeof rough>,
  picture?: Picture,
): Drift {
  const result = measureDrift({ clean: samplesOf(clean), cleanSize: size, roughInk, rough: picture });
  if (isRefused(result)) throw new Error(result.refused);
  return result;
}

describe('drift', () => {
  it('finds nothing where the clean lies on the rough', () => {
    const result = drift(figure(), rough(figure()));
    expect(result.runs).toEqual([]);
    expect(result.medianPx).toBeLessThan(0.3);
  });

  it.each([5, 9, 17])('finds an arm drawn %i px too low as displaced, by that much', (offPx) => {
    const clean = figure().map((points, k) =>
      k === 4 ? points.map((p) => moved(p, p, 0, 0, offPx)) : points,
    );
    const result = drift(clean, rough(figure()));
    expect(result.runs.map(({ kind }) => kind)).toEqual(['displaced']);
    const run = result.runs[0]!;
    // The arm runs nearly level at its lower edge, so its normal distance is the move times the cosine there.
    expect(run.maxPx).toBeGreaterThan(offPx * 0.85);
    expect(run.maxPx).toBeLessThanOrEqual(offPx + 1);
    const [x, y, width, height] = run.bbox;
    expect(x).toBeLessThan(390);
    expect(x + width).toBeGreaterThan(470);
    expect(y).toBeLessThan(215 + offPx);
    expect(y + height).toBeGreaterThan(290 + offPx);
  });

  it('calls a line that the rough lacks extra, also close beside another line', () => {
    const result = drift([...figure(), MOUTH], rough(figure()));
    expect(result.runs.map(({ kind }) => kind)).toEqual(['extra']);
    // 20.9 + 26.2 px by Pythagoras.
    expect(result.runs[0]!.lengthPx).toBeGreaterThan(44);
    expect(result.runs[0]!.lengthPx).toBeLessThan(50);
    const beside = figure()[4]!
      .slice(0, 2)
      .map((p) => moved(p, p, 0, -4, -10));
    expect(drift([...figure(), beside], rough(figure())).runs.map(({ kind }) => kind)).toEqual(['extra']);
  });

  it('ranks missed lines, and takes faint or coloured ones for construction', () => {
    const leg = figure()[5]!;
    const clean = figure().slice(0, 5);
    const guide: Point[] = [
      [60, 60],
      [180, 110],
    ];
    const result = drift(clean, rough(figure(), [{ points: guide, darkness: 0.45 }]));
    expect(result.runs.map(({ kind, construction }) => [kind, construction])).toEqual([
      ['missed', false],
      ['missed', true],
    ]);
    const [x, y, width, height] = result.runs[0]!.bbox;
    for (const [px, py] of leg.slice(1)) {
      expect(px).toBeGreaterThanOrEqual(x - 4);
      expect(px).toBeLessThanOrEqual(x + width + 4);
      expect(py).toBeGreaterThanOrEqual(y - 4);
      expect(py).toBeLessThanOrEqual(y + height + 4);
    }

    // The same guide as dark as the line, but in blue pencil.
    const roughInk = rough(figure(), [{ points: guide, darkness: 1 }]);
    const data = new Uint8Array(WIDTH * HEIGHT * 4);
    for (let i = 0; i < roughInk.coverage.length; i++) {
      const blue = i % WIDTH < 200 && i < 120 * WIDTH ? 255 : 0;
      data.set([0, blue / 2, blue, roughInk.coverage[i]!], 4 * i);
    }
    const coloured = drift(clean, roughInk, { width: WIDTH, height: HEIGHT, channels: 4, data });
    expect(coloured.runs.map(({ kind, construction }) => [kind, construction])).toEqual([
      ['missed', false],
      ['missed', true],
    ]);
  });

  it('keeps a line whole that construction crosses, be it extra or missed', () => {
    const line: Point[] = [
      [60, 380],
      [200, 380],
    ];
    const guide: Point[] = [
      [130, 330],
      [130, 430],
    ];
    const extra = drift([...figure(), line], rough(figure(), [{ points: guide, darkness: 0.45 }]));
    expect(extra.runs.filter(({ kind }) => kind === 'extra')).toHaveLength(1);
    expect(extra.runs[0]!.lengthPx).toBeGreaterThan(115);

    const roughInk = rough([...figure(), line], [{ points: guide, darkness: 1 }]);
    const data = new Uint8Array(WIDTH * HEIGHT * 4);
    for (let i = 0; i < roughInk.coverage.length; i++) {
      const blue = Math.abs((i % WIDTH) - 130) < 4 && i > 320 * WIDTH ? 255 : 0;
      data.set([0, blue / 2, blue, roughInk.coverage[i]!], 4 * i);
    }
    const missed = drift(figure(), roughInk, { width: WIDTH, height: HEIGHT, channels: 4, data });
    const faults = missed.runs.filter(({ construction }) => !construction);
    expect(faults.map(({ kind }) => kind)).toEqual(['missed']);
    expect(Math.abs(faults[0]!.lengthPx - 140)).toBeLessThan(8);
  });

  it('keeps apart what was missed at the left and at the right edge of the paper', () => {
    const upright = (x: number): Point[] => [
      [x, 150],
      [x, 250],
    ];
    const { runs } = drift(figure(), rough([...figure(), upright(3), upright(WIDTH - 3)]));
    const sides = runs.map(({ bbox: [x, , width] }) => (width < 20 ? (x < 20 ? 'left' : 'right') : 'across'));
    expect(sides.toSorted()).toEqual(['left', 'right']);
  });

  it('lets the clean lie anywhere within a bundle of searching strokes', () => {
    const offsets = [-5, -2, 1.5, 4.5];
    const scribbled = rough(
      offsets.flatMap((d) => figure().map((points) => points.map((p) => moved(p, p, 0, d, d)))),
    );
    const clean = figure().map((points) => points.map((p) => moved(p, p, 0, 3, 3)));
    const result = drift(clean, scribbled);
    expect(result.runs).toEqual([]);
    expect(result.roughWidthPx).toBeGreaterThan(8);
  });

  it('refuses a blank clean and a blank rough', () => {
    const blank = { ...size, coverage: new Uint8Array(WIDTH * HEIGHT) };
    expect(measureDrift({ clean: samplesOf([]), cleanSize: size, roughInk: rough(figure()) })).toEqual({
      refused: 'the clean drawing is blank',
    });
    expect(measureDrift({ clean: samplesOf(figure()), cleanSize: size, roughInk: blank })).toEqual({
      refused: 'the rough is blank, or far from the clean drawing',
    });
  });
});
