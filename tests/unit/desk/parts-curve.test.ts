/** The volume of parts beside the sheet. Areas and shares by hand. */
import { expect, test } from 'vitest';
import { defaultTolerances } from '../../../src/check/tolerances.ts';
import type { PartRun } from '../../../src/check/volume-run.ts';
import { across } from '../../../src/desk/checks/curves.ts';
import { partsCurve, partsUnsure } from '../../../src/desk/checks/parts-curve.ts';
import type { Part } from '../../../src/line/parts.ts';
import type { Level } from '../../../src/shot/model.ts';

const level: Level = {
  name: '',
  drawings: ['1', '2', '3', '4'].map((label) => ({ label, takes: [] })),
  exposures: ['1', '2', '3', '4'].map((drawing, k) => ({ drawing, frame: 1 + 2 * k, length: 2 })),
};
const part = {} as Part;
const run = (chain: number, areaPx2: number, verdict: Partial<PartRun> = { off: 0 }): PartRun => ({
  bbox: [0, 0, 10, 10],
  areaPx2,
  part,
  chain,
  ...verdict,
});

// A head of 1000 px² that pops by 12 % in 3, and a hand that is lost in 3.
const hidden = 'not found again in 3: open, turned or hidden there';
const runs: PartRun[][] = [
  [run(0, 1000, { refused: 'no drawing lies on the other side of it' }), run(1, 200)],
  [run(0, 1000), run(1, 200, { refused: hidden })],
  [
    run(0, 1120, { off: 0.12, whose: 'rough' }),
    { bbox: [80, 80, 10, 10], areaPx2: 200, chain: 1, refused: hidden },
  ],
  [run(0, 1000), run(2, 20)],
];
const curve = partsCurve(level, runs, defaultTolerances, new Set(['3']));

test('a line for each part that is followed through three drawings, 0 its own median', () => {
  expect(curve.lines).toHaveLength(1);
  expect(curve.lines[0]!.map(({ frame, off, out }) => [frame, Number(off.toFixed(6)), out])).toEqual([
    [1, 0, false],
    [3, 0, false],
    [5, 0.12, true],
    [7, 0, false],
  ]);
  // 12 % is 2.4 bands of 5 %: the strip is as wide as that.
  expect(across(curve.lines[0]![2]!, curve)).toBeCloseTo(1, 9);
  expect(across({ ...curve.lines[0]![2]!, off: 0.05 }, curve)).toBeCloseTo(1 / 2.4, 9);
});

test('a drawing says how far it pops, or how many of its parts are known; details do not count', () => {
  expect([...curve.says]).toEqual([
    ['1', '1 of 2'],
    ['2', '1 of 2'],
    ['3', '+12 %'],
    ['4', '1 of 1'],
  ]);
  // In 1 the larger part is not known.
  expect(curve.unsureAt).toEqual([1]);
});

test('what a dismissed finding called out is no longer solid', () => {
  const quiet = partsCurve(level, runs, defaultTolerances, new Set());
  expect(quiet.points.some(({ out }) => out)).toBe(false);
});

test('each reason stands once, with the places', () => {
  expect([...partsUnsure(runs[2]!, [90, 90])]).toEqual([[hidden, 'at lower right']]);
});
