/** Labels, areas and boxes against OpenCV's `connectedComponentsWithStats` (4.11). */
import { beforeAll, expect, test } from 'vitest';
import { components, pieceBox } from '../../src/line/components.ts';
import { lineRuns, otherRuns } from '../../src/line/runs.ts';
import { maskOf, randomMask } from '../support/line-masks.ts';
import { loadOpenCv } from '../support/opencv.ts';

let cv: Awaited<ReturnType<typeof loadOpenCv>>;
beforeAll(async () => {
  cv = await loadOpenCv();
});

function openCvPieces(set: Uint8Array, width: number, height: number, connectivity: 4 | 8) {
  const mask = cv.matFromArray(height, width, cv.CV_8U, [...set]);
  const [labels, stats, centroids] = [new cv.Mat(), new cv.Mat(), new cv.Mat()];
  const count = cv.connectedComponentsWithStats(mask, labels, stats, centroids, connectivity) - 1;
  const pieces = Array.from({ length: count }, (_, k) => ({
    box: Array.from(stats.data32S.subarray(5 * (k + 1), 5 * (k + 1) + 4)),
    areaPx2: stats.data32S[5 * (k + 1) + 4]!,
  }));
  const result = { count, pieces, labels: labels.data32S.slice() };
  for (const mat of [mask, labels, stats, centroids]) mat.delete();
  return result;
}

/** Both labellings as maps numbered in the order of first pixels, so that equal partitions are equal maps. */
function inOrder(labels: ArrayLike<number>, background: number): number[] {
  const seen = new Map<number, number>();
  return Array.from(labels, (label) => {
    if (label === background) return -1;
    if (!seen.has(label)) seen.set(label, seen.size);
    return seen.get(label)!;
  });
}

test.each([
  ['sparse', 93, 71, 0.08, 11],
  ['half', 64, 80, 0.5, 12],
  ['dense', 71, 50, 0.85, 13],
  ['one row', 200, 1, 0.4, 14],
  ['one column', 1, 200, 0.4, 15],
])('%s masks: line 8-connected and paper 4-connected as OpenCV has them', (_, width, height, share, seed) => {
  const coverage = randomMask(width, height, share, seed);
  const line = lineRuns(coverage, width, height);
  for (const [runs, connectivity, isLine] of [
    [line, 8, true],
    [otherRuns(line), 4, false],
  ] as const) {
    const ours = components(runs, connectivity);
    const set = Uint8Array.from(coverage, (a) => (a >= 102 === isLine ? 1 : 0));
    const theirs = openCvPieces(set, width, height, connectivity);
    expect(ours.count).toBe(theirs.count);
    const labels = new Int32Array(width * height).fill(-1);
    for (let y = 0; y < height; y++) {
      for (let k = runs.rowStart[y]!; k < runs.rowStart[y + 1]!; k++) {
        labels.fill(ours.ofRun[k]!, y * width + runs.start[k]!, y * width + runs.end[k]!);
      }
    }
    expect(inOrder(labels, -1)).toEqual(inOrder(theirs.labels, 0));
    const sorted = (pieces: { box: readonly number[]; areaPx2: number }[]) =>
      pieces.map(({ box, areaPx2 }) => [...box, areaPx2].join()).sort();
    const pieces = Array.from({ length: ours.count }, (__, piece) => ({
      box: pieceBox(ours, piece),
      areaPx2: ours.areaPx2[piece]!,
    }));
    expect(sorted(pieces)).toEqual(sorted(theirs.pieces));
  }
});

test('two pixels touching at a corner and one apart: 2 pieces 8-connected, 3 pieces 4-connected (OpenCV)', () => {
  const { width, height, coverage } = maskOf('#....', '.#..#');
  const runs = lineRuns(coverage, width, height);
  expect(components(runs, 8).count).toBe(2);
  expect(components(runs, 4).count).toBe(3);
});

test('no line at all is no piece, and the paper is one', () => {
  const runs = lineRuns(new Uint8Array(6), 3, 2);
  expect(components(runs, 8).count).toBe(0);
  const paper = components(otherRuns(runs), 4);
  expect([paper.count, ...paper.areaPx2, ...pieceBox(paper, 0)]).toEqual([1, 6, 0, 0, 3, 2]);
});
