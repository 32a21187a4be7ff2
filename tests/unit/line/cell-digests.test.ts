import { expect, test } from 'vitest';
import { cellDigests, digestWithin } from '../../../src/line/cell-digests.ts';
import type { Box } from '../../../src/line/picture.ts';
import { lineRuns } from '../../../src/line/runs.ts';
import { drawLines, type Point } from '../../support/draw-lines.ts';

const cuff: Point[] = [
  [40, 50],
  [150, 60],
  [160, 140],
];
const digestsOf = (...lines: readonly (readonly Point[])[]) => {
  const { coverage, width, height } = drawLines(
    300,
    200,
    lines.map((points) => ({ points, widthPx: 5 })),
  );
  return cellDigests(lineRuns(coverage, width, height));
};
/** Round the cuff's corner; the cells it touches reach from 128 to 192 and from 32 to 96. */
const corner: Box = [140, 50, 30, 30];

test('equal line in a place gives an equal digest, whatever is redrawn elsewhere', () => {
  const before = digestWithin(digestsOf(cuff), corner);
  // A longer end of the very same stroke, and another stroke far away.
  const longer: Point[] = [...cuff, [230, 180]];
  const elsewhere: Point[] = [
    [220, 20],
    [280, 40],
  ];
  expect(digestWithin(digestsOf(longer, elsewhere), corner)).toBe(before);
});

test('a line moved by one pixel in the place gives another digest', () => {
  const moved = cuff.map(([x, y]): Point => [x, y + 1]);
  expect(digestWithin(digestsOf(moved), corner)).not.toBe(digestWithin(digestsOf(cuff), corner));
});

test('a line rubbed out gives another digest, and bare paper has one of its own', () => {
  const bare = digestWithin(digestsOf(), corner);
  expect(digestWithin(digestsOf(cuff), corner)).not.toBe(bare);
  expect(digestWithin(digestsOf(), corner)).toBe(bare);
});

test('a box over the edge of the drawing, or of no size, still has a digest', () => {
  const digests = digestsOf(cuff);
  for (const box of [
    [-50, -50, 1000, 1000],
    [299, 199, 40, 40],
    [10, 10, 0, 0],
  ] as const)
    expect(digestWithin(digests, box)).toMatch(/^[0-9a-f]{8}$/);
});
