import { expect, test } from 'vitest';
import { createPaintGround } from '../../../src/desk/checks/paint-ground.ts';
import { SentenceError } from '../../../src/error/sentence.ts';
import type { Picture } from '../../../src/line/picture.ts';
import { drawLines, type Point } from '../../support/draw-lines.ts';

/** A box of 200 × 120 px (to the middle of its 6 px line) whose right side opens `gapPx` in the middle. */
function box(gapPx: number): Picture {
  const half = gapPx > 0 ? gapPx / 2 + 3 : 0;
  const open: Point[] =
    gapPx > 0
      ? [
          [250, 110 - half],
          [250, 50],
          [50, 50],
          [50, 170],
          [250, 170],
          [250, 110 + half],
        ]
      : [
          [250, 110],
          [250, 50],
          [50, 50],
          [50, 170],
          [250, 170],
          [250, 110],
        ];
  const { width, height, coverage } = drawLines(320, 230, [{ points: open, widthPx: 6 }]);
  return { width, height, channels: 1, data: coverage.map((a) => 255 - a) };
}

const ask = (picture: Picture, x: number, y: number, gapPx: number) =>
  createPaintGround(async () => picture)({ kind: 'paint', sha256: 'a', x, y, gapPx });

test('a closed box holds: what is filled is the paper inside it', async () => {
  const answer = await ask(box(0), 150, 110, 12);
  if (!('paint' in answer)) throw new Error(JSON.stringify(answer));
  const { holds, through, areaPx2, runs, meant } = answer.paint;
  expect([holds, through]).toEqual([true, []]);
  // 200 − 6 by 120 − 6 px of bare paper; a row of pixels to each side may go either way.
  expect(Math.abs(areaPx2 - 194 * 114)).toBeLessThanOrEqual(2 * (194 + 114) + 4);
  expect([...meant]).toEqual([...runs]);
});

test('an open box runs out through its gap, and the region that was meant is told', async () => {
  const answer = await ask(box(8), 150, 110, 12);
  if (!('paint' in answer)) throw new Error(JSON.stringify(answer));
  const { holds, through, meantAreaPx2, areaPx2 } = answer.paint;
  expect(holds).toBe(false);
  expect(through).toHaveLength(1);
  expect(Math.abs((through[0]?.widthPx ?? 0) - 8)).toBeLessThan(1);
  expect(Math.abs(meantAreaPx2 - 194 * 114)).toBeLessThanOrEqual(2 * (194 + 114) + 4);
  // Everything but the line: the whole paper less six outlines' worth of ink.
  expect(areaPx2).toBeGreaterThan(320 * 230 - 8 * 2 * (200 + 120));
});

test('a gap wider than asked for is no gap: the fill just runs out', async () => {
  const answer = await ask(box(20), 150, 110, 12);
  if (!('paint' in answer)) throw new Error(JSON.stringify(answer));
  expect([answer.paint.holds, answer.paint.through]).toEqual([false, []]);
});

test('on the line, off the paper and with an unreadable picture it says why', async () => {
  expect(await ask(box(0), 50, 110, 12)).toEqual({
    refused: 'That place is line; a fill starts on bare paper.',
  });
  expect(await ask(box(0), -4, 110, 12)).toMatchObject({ refused: expect.stringContaining('outside') });
  const broken = createPaintGround(() =>
    Promise.reject(new SentenceError('missing', 'its file is not on this tablet')),
  );
  expect(await broken({ kind: 'paint', sha256: 'b', x: 1, y: 1, gapPx: 12 })).toMatchObject({
    refused: expect.stringContaining('its file is not on this tablet'),
  });
});
