/**
 * The line made thicker and thinner. Against line art of published stroke width (`lucide-static`, `openmoji`,
 * rendered by resvg), geometry (a disc's area is π(r + δ)²) and OpenCV's `connectedComponents` (4.11) before and
 * after. Seeds are fixed here; `REWEIGHT_SEED` draws others.
 */
import { beforeAll, describe, expect, test } from 'vitest';
import { inkOf } from '../../src/line/ink.ts';
import type { InkMap } from '../../src/line/reduce.ts';
import { changedInk, reweigh } from '../../src/line/reweight/reweigh.ts';
import { type Break, whatBreaks } from '../../src/line/reweight/what-breaks.ts';
import { type LineArt, lucideArt, openmojiArt, render, sampled } from '../support/line-art.ts';
import { maskOf } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

const SEED = Number(process.env.REWEIGHT_SEED ?? 20);
const art = {
  lucide: sampled(lucideArt(), 10, SEED),
  openmoji: sampled(openmojiArt(), 10, SEED + 1),
};

/**
 * The art with strokes of so many px as ink, drawn at four times the size and averaged: the renderer's own coverage
 * is off by up to a twelfth of a pixel along a diagonal, as much as is asked here of both edges together.
 */
function inkWith(one: LineArt, strokePx: number, wantedPx: number): InkMap {
  const svg = one.svg.replaceAll('stroke-width="2"', `stroke-width="${(2 * wantedPx) / strokePx}"`);
  const large = render({ ...one, svg }, 4 * strokePx, 'white');
  const [width, height] = [large.width / 4, large.height / 4];
  const coverage = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (let k = 0; k < 16; k++)
        sum += 255 - large.data[4 * ((4 * y + (k >> 2)) * large.width + 4 * x + (k & 3))]!;
      coverage[y * width + x] = Math.round(sum / 16);
    }
  }
  return { width, height, coverage };
}

const areaPx2 = ({ coverage }: InkMap) => coverage.reduce((sum, a) => sum + a, 0) / 255;

describe.each(['lucide', 'openmoji'] as const)('%s', (name) => {
  test.each(
    // Down to 1.5 px: a line of 1 px is all edge, and 0.16 px off was seen there.
    [3, 5, 12].flatMap((strokePx) => [-1.5, -0.5, 0.5, 2].map((byPx) => [strokePx, byPx] as const)),
  )('strokes of %f px by %f px: within 0.15 px, and back within 0.2 px', (strokePx, byPx) => {
    let measured = 0;
    for (const one of art[name]) {
      const ink = inkWith(one, strokePx, strokePx);
      const change = reweigh(ink, byPx);
      // Where lines run together or are cut, two strokes are no longer two.
      if (whatBreaks(ink, change).length > 0) continue;
      measured++;
      const after = changedInk(ink, change);
      const wanted = inkWith(one, strokePx, strokePx + byPx);
      // What the area should change by, px², for each px of width.
      const lengthPx = (areaPx2(wanted) - areaPx2(ink)) / byPx;
      const offPx = (areaPx2(after) - areaPx2(wanted)) / lengthPx;
      expect(Math.abs(offPx), `${one.name}: ${offPx} px off`).toBeLessThan(0.15);
      const backPx = (areaPx2(changedInk(after, reweigh(after, -byPx))) - areaPx2(ink)) / lengthPx;
      expect(Math.abs(backPx), `${one.name}: came back ${backPx} px off`).toBeLessThan(0.2);
    }
    expect(measured).toBeGreaterThan(1);
  });
});

/** A disc with soft edges: coverage by 16 × 16 points a pixel. */
function disc(radiusPx: number, x: number, y: number): InkMap {
  const size = Math.ceil(2 * radiusPx) + 40;
  const coverage = new Uint8Array(size * size);
  for (let py = 0; py < size; py++) {
    for (let px = 0; px < size; px++) {
      let inside = 0;
      for (let k = 0; k < 256; k++) {
        const [sx, sy] = [px + ((k & 15) + 0.5) / 16, py + ((k >> 4) + 0.5) / 16];
        if (Math.hypot(sx - x, sy - y) <= radiusPx) inside++;
      }
      coverage[py * size + px] = Math.round((255 * inside) / 256);
    }
  }
  return { width: size, height: size, coverage };
}

test.each([
  [6, 1],
  [6, -3],
  [15.3, 2.5],
  [15.3, -4],
  [40, 8],
  [40, -0.7],
])('a disc of radius %f px by %f px has the area of the new radius, within 0.1 px of radius', (r, byPx) => {
  const before = disc(r, r + 19.37, r + 20.81);
  const after = changedInk(before, reweigh(before, byPx));
  expect(Math.abs(Math.sqrt(areaPx2(after) / Math.PI) - (r + byPx / 2))).toBeLessThan(0.1);
});

test('a drawing without soft pixels stays so, and its edges move by whole pixels', () => {
  const before = maskOf('.......', '.......', '..###..', '.......', '.......');
  const thicker = changedInk(before, reweigh(before, 2));
  expect(new Set(thicker.coverage)).toEqual(new Set([0, 255]));
  // One px on every side: also at the corners, whose outer pixels' middles lie √½ px from the line.
  expect(thicker.coverage).toEqual(maskOf('.......', '.#####.', '.#####.', '.#####.', '.......').coverage);
  expect(changedInk(thicker, reweigh({ ...before, ...thicker }, -2)).coverage).toEqual(before.coverage);
});

test('more than the edge may move at once is refused by a sentence that says the most', () => {
  expect(() => reweigh(maskOf('#'), 25)).toThrow(/up to 24 px at once, not by 25 px/);
  expect(() => reweigh(maskOf('#'), Number.NaN)).toThrow(RangeError);
});

describe('what a change breaks', () => {
  let cv: Awaited<ReturnType<typeof loadOpenCv>>;
  beforeAll(async () => {
    cv = await loadOpenCv();
  });

  /** OpenCV's labels of the line (8-connected) or the paper (4-connected). */
  function labelsOf({ width, height, coverage }: InkMap, isLine: boolean): Int32Array {
    const mask = cv.matFromArray(
      height,
      width,
      cv.CV_8U,
      Array.from(coverage, (a) => Number(a >= 102 === isLine)),
    );
    const labels = new cv.Mat();
    cv.connectedComponents(mask, labels, isLine ? 8 : 4);
    const found = labels.data32S.slice();
    mask.delete();
    labels.delete();
    return found;
  }

  /** Which pieces of `inner` lie in each piece of `outer`. */
  function within(outer: Int32Array, inner: Int32Array): Map<number, Set<number>> {
    const found = new Map<number, Set<number>>();
    for (const [i, label] of outer.entries()) {
      if (label === 0) continue;
      const set = found.get(label) ?? new Set<number>();
      if (inner[i] !== 0) set.add(inner[i]!);
      found.set(label, set);
    }
    return found;
  }

  function seenByOpenCv(before: InkMap, after: InkMap, thins: boolean) {
    const shrunk = within(labelsOf(before, thins), labelsOf(after, thins));
    const grown = within(labelsOf(after, !thins), labelsOf(before, !thins));
    const sizes = [...shrunk.values()].map((set) => set.size);
    return {
      gone: sizes.filter((size) => size === 0).length,
      cut: sizes.some((size) => size > 1) || [...grown.values()].some((set) => set.size > 1),
    };
  }

  const drawings = [...art.lucide, ...art.openmoji];
  test.each([-4, -2.2, -1, 1, 3, 6])('by %f px: what was foretold broke, and nothing else', (byPx) => {
    let broke = 0;
    for (const one of drawings) {
      for (const strokePx of [2, 3.5]) {
        const ink = inkOf(render(one, strokePx, 'transparent'));
        const change = reweigh(ink, byPx);
        const seen = seenByOpenCv(ink, changedInk(ink, change), byPx < 0);
        const told = whatBreaks(ink, change);
        const of = (kind: Break['kind']) => told.filter((place) => place.kind === kind).length;
        const [gone, cut] =
          byPx < 0 ? [of('line lost'), of('line parted')] : [of('area filled'), of('gap closed')];
        const where = `${one.name} at ${strokePx} px`;
        expect(gone, `${where}: pieces gone`).toBeGreaterThanOrEqual(seen.gone);
        // A piece that is gone as a whole lets what lay on its two sides run together: told once, as gone.
        if (seen.gone === 0) expect(cut > 0, `${where}: cut`).toBe(seen.cut);
        if (told.length > 0) broke++;
      }
    }
    expect(broke).toBeGreaterThan(0);
  });

  test('a thin stretch of a ring is told as cut where it is thin', () => {
    const { width, height, coverage } = disc(30, 49.5, 49.5);
    const hole = disc(22, 41.5, 41.5);
    // A ring of 8 px, 2 px thin at the right.
    for (let y = 0; y < hole.height; y++)
      for (let x = 0; x < hole.width; x++)
        coverage[(y + 8) * width + x + 8]! -= Math.min(
          coverage[(y + 8) * width + x + 8]!,
          hole.coverage[y * hole.width + x]!,
        );
    for (let y = 44; y < 56; y++) for (let x = 60; x < 77; x++) coverage[y * width + x] = 0;
    const ring = { width, height, coverage };
    const told = whatBreaks(ring, reweigh(ring, -4));
    expect(told.map(({ kind }) => kind)).toEqual(['line parted']);
    const [x, y, w, h] = told[0]!.box;
    expect(x).toBeGreaterThan(70);
    expect(y).toBeGreaterThan(40);
    expect(x + w).toBeLessThan(84);
    expect(y + h).toBeLessThan(60);
    expect(whatBreaks(ring, reweigh(ring, -0.5))).toEqual([]);
  });
});
