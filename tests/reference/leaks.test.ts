/**
 * Gaps cut into published line art at known places and widths by the renderer (see support/cuts.ts), found
 * again. Art with openings of its own up to the widest gap looked for, by OpenCV's measure of it, is not suited
 * and left out: most lucide icons at small sizes, hence more openmoji than lucide here.
 */
import { beforeAll, expect, test } from 'vitest';
import { inkOf } from '../../src/line/ink.ts';
import { findLeaks, type Leak } from '../../src/line/leaks.ts';
import type { Picture } from '../../src/line/picture.ts';
import { lineRuns } from '../../src/line/runs.ts';
import { skeletonOf } from '../../src/line/skeleton.ts';
import { type Cut, cutAt, openByDesign, shapeCount } from '../support/cuts.ts';
import { lucideArt, openmojiArt, render, sampled } from '../support/line-art.ts';
import { seeded } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

const MOST_GAP_PX = 24;
const STROKES_PX = [3, 4.5, 7, 10, 14];
/** Cuts of each set, and units along a shape up to which they are tried. */
const SETS = [
  { name: 'openmoji', art: sampled(openmojiArt(), 150, 51), cuts: 50, mostUnits: 120 },
  { name: 'lucide', art: sampled(lucideArt(), 60, 52), cuts: 14, mostUnits: 60 },
];

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
const cuts: (Cut & { name: string })[] = [];

beforeAll(async () => {
  cv = await loadOpenCv();
  for (const { art, cuts: wanted, mostUnits } of SETS) {
    const random = seeded(53);
    const suited = new Map<string, boolean>();
    for (let made = 0; made < wanted; ) {
      const one = art[Math.floor(random() * art.length)]!;
      const options = {
        strokePx: STROKES_PX[Math.floor(STROKES_PX.length * random())]!,
        gapPx: 2 + (MOST_GAP_PX - 2) * random(),
        round: random() < 0.4,
        shape: Math.floor(random() * shapeCount(one)),
        atUnits: mostUnits * random(),
      };
      const key = `${one.name} ${options.strokePx}`;
      const isSuited =
        suited.get(key) ?? !openByDesign(cv, render(one, options.strokePx, 'white'), MOST_GAP_PX);
      suited.set(key, isSuited);
      const cut = isSuited ? cutAt(cv, one, options) : undefined;
      if (cut === undefined) continue;
      const { strokePx, gapPx } = options;
      cuts.push({ ...cut, name: `${one.name} at ${strokePx.toFixed(1)} px, cut ${gapPx.toFixed(1)} px` });
      made++;
    }
  }
}, 600_000);

function leaksOf(picture: Picture): readonly Leak[] {
  const ink = inkOf(picture);
  const line = lineRuns(ink.coverage, ink.width, ink.height);
  return findLeaks(ink, line, skeletonOf(line), { mostGapPx: MOST_GAP_PX }).leaks;
}

test('95 % of the cuts are found where they were made, each width within 2 px', () => {
  const missed: string[] = [];
  const wrong: string[] = [];
  for (const { cut, xPx, yPx, widthPx, name } of cuts) {
    const near = leaksOf(cut).filter((leak) => Math.hypot(leak.xPx - xPx, leak.yPx - yPx) < 8);
    if (near.length === 0) missed.push(name);
    else if (!near.some((leak) => Math.abs(leak.widthPx - widthPx) <= 2)) wrong.push(name);
  }
  expect(cuts).toHaveLength(64);
  expect(missed.length / cuts.length, missed.join('; ')).toBeLessThanOrEqual(0.05);
  expect(wrong, 'widths off by more than 2 px').toEqual([]);
});

test('no more than 2 % of the uncut twins show a leak', () => {
  const shown = cuts.filter(({ whole }) => leaksOf(whole).length > 0).map(({ name }) => name);
  expect(shown.length / cuts.length, shown.join('; ')).toBeLessThanOrEqual(0.02);
});
