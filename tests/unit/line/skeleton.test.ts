import { expect, test } from 'vitest';
import { components } from '../../../src/line/components.ts';
import { lineRuns } from '../../../src/line/runs.ts';
import { PATH_END, skeletonOf } from '../../../src/line/skeleton.ts';
import { arc, drawLines, figure } from '../../support/draw-lines.ts';
import { maskOf, randomMask } from '../../support/line-masks.ts';

const skeletonFrom = ({ width, height, coverage }: { width: number; height: number; coverage: Uint8Array }) =>
  skeletonOf(lineRuns(coverage, width, height));

/** How many 8-connected pieces and 4-connected paper regions a set of pixels makes. */
function topology(pixels: Iterable<number>, width: number, height: number): number[] {
  // One pixel of paper all round joins what the drawing's edge would cut.
  const wide = width + 2;
  const coverage = new Uint8Array(wide * (height + 2));
  for (const i of pixels) coverage[(Math.floor(i / width) + 1) * wide + (i % width) + 1] = 255;
  const line = lineRuns(coverage, wide, height + 2);
  const paper = lineRuns(
    coverage.map((a) => 255 - a),
    wide,
    height + 2,
  );
  return [components(line, 8).count, components(paper, 4).count];
}

test.each([
  [
    'a figure',
    drawLines(
      640,
      480,
      figure().map((points) => ({ points, widthPx: 5 })),
    ),
  ],
  ['blobs', { width: 90, height: 70, coverage: randomMask(90, 70, 0.35, 3) }],
  ['dense blobs', { width: 70, height: 90, coverage: randomMask(70, 90, 0.7, 4) }],
  ['a 2 × 2 square', maskOf('....', '.##.', '.##.', '....', '....')],
])('thinning %s keeps every piece and every hole (homotopy)', (_, mask) => {
  const { width, height, coverage } = mask;
  const line = [...coverage.keys()].filter((i) => coverage[i]! >= 102);
  expect(topology(skeletonFrom(mask).pixels, width, height)).toEqual(topology(line, width, height));
});

test('an open stroke is one path with two line ends, in order along the line', () => {
  const mask = drawLines(120, 90, [
    {
      points: [
        [20, 15],
        [60, 40],
        [70, 78],
      ],
      widthPx: 7,
    },
  ]);
  const { pixels, pathStart, pathEnds } = skeletonFrom(mask);
  expect([...pathEnds]).toEqual([PATH_END.lineEnd, PATH_END.lineEnd]);
  expect([...pathStart]).toEqual([0, pixels.length]);
  for (let k = 1; k < pixels.length; k++) {
    const dx = (pixels[k]! % 120) - (pixels[k - 1]! % 120);
    const dy = Math.floor(pixels[k]! / 120) - Math.floor(pixels[k - 1]! / 120);
    expect(Math.max(Math.abs(dx), Math.abs(dy))).toBe(1);
  }
});

test('a ring is one loop, and lies on its mid-line within a pixel', () => {
  const mask = drawLines(200, 180, [{ points: arc(95.3, 88.1, 60, 60), widthPx: 9 }]);
  const { pixels, pathEnds } = skeletonFrom(mask);
  expect([...pathEnds]).toEqual([PATH_END.loop, PATH_END.loop]);
  const off = [...pixels].map(
    (i) => Math.hypot((i % 200) + 0.5 - 95.3, Math.floor(i / 200) + 0.5 - 88.1) - 60,
  );
  expect(Math.max(...off.map(Math.abs))).toBeLessThan(1.1);
});

test('three strokes from one point make three paths that meet', () => {
  const mask = drawLines(140, 130, [
    {
      points: [
        [70, 60],
        [20, 20],
      ],
      widthPx: 4,
    },
    {
      points: [
        [70, 60],
        [120, 30],
      ],
      widthPx: 4,
    },
    {
      points: [
        [70, 60],
        [66, 120],
      ],
      widthPx: 4,
    },
  ]);
  const { pathStart, pathEnds } = skeletonFrom(mask);
  const long = [...pathEnds.keys()].filter(
    (k) => k % 2 === 0 && pathStart[k / 2 + 1]! - pathStart[k / 2]! > 8,
  );
  expect(long).toHaveLength(3);
  for (const k of long) {
    expect([pathEnds[k], pathEnds[k + 1]].sort((a, b) => a! - b!)).toEqual([
      PATH_END.lineEnd,
      PATH_END.junction,
    ]);
  }
});

test('one pixel is a path of one pixel; no line is no path', () => {
  const dot = skeletonFrom(maskOf('...', '..#'));
  expect([...dot.pixels]).toEqual([5]);
  expect([...dot.pathEnds]).toEqual([PATH_END.lineEnd, PATH_END.lineEnd]);
  expect([...skeletonFrom(maskOf('...', '...')).pathStart]).toEqual([0]);
});
