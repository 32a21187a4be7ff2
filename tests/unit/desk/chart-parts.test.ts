/** Parts of a chart on the desk: what a stroke means, what stands on the sheet, edits and their undo. Hand arithmetic. */
import { describe, expect, test } from 'vitest';
import { placeOfPath } from '../../../src/desk/edit/path-place.ts';
import { chartEdit, runsOnEdit } from '../../../src/desk/edits.ts';
import { partLines } from '../../../src/desk/sheet-parts.ts';
import { chartFault } from '../../../src/shot/chart-tree.ts';
import { areaOf, cornersOf, liesWithin } from '../../../src/shot/part-place.ts';
import { drawing, level } from '../shot/make.ts';

const SIZE = [960, 540] as const;
const box = [10, 20, 300, 40] as const;
const parts = [
  { place: { box }, words: 'sleeve', fraction: 1 / 3 },
  { place: { box }, words: 'the coat’s long tail', fraction: 0.42 },
];
const chart = { from: '1', to: '5', fraction: 0.5, parts };

describe('a stroke on the paper', () => {
  test('straight across is a box, whichever corner comes first', () => {
    const across = [
      [300.5, 200],
      [250, 150],
      [200.5, 100.2],
    ] as const;
    expect(placeOfPath(across, SIZE, 10)).toEqual({ box: [200, 100, 101, 100], sizePx: SIZE });
    expect(placeOfPath(across.toReversed(), SIZE, 10)).toEqual({ box: [200, 100, 101, 100], sizePx: SIZE });
  });
  test('round is an outline of at most 64 points that holds what it goes round', () => {
    const ring = Array.from({ length: 500 }, (_, n) => {
      const angle = (n / 500) * 2 * Math.PI;
      return [400 + 100 * Math.cos(angle), 300 + 50 * Math.sin(angle)] as const;
    });
    const place = placeOfPath(ring, SIZE, 10);
    expect(place?.outline).toHaveLength(64);
    const corners = cornersOf(place ?? {}, SIZE);
    expect(liesWithin([480, 300], corners)).toBe(true);
    expect(liesWithin([480, 340], corners)).toBe(false);
    // π·a·b of the ellipse, less what the chords of 64 points cut off.
    expect(areaOf(corners) / (Math.PI * 100 * 50)).toBeGreaterThan(0.98);
    expect(areaOf(corners) / (Math.PI * 100 * 50)).toBeLessThan(1.01);
  });
  test('a tap or a bare line is no place', () => {
    expect(placeOfPath([[5, 5]], SIZE, 10)).toBeUndefined();
    expect(placeOfPath([], SIZE, 10)).toBeUndefined();
    expect(
      placeOfPath(
        [
          [5, 5],
          [200, 6],
        ],
        SIZE,
        10,
      ),
    ).toBeUndefined();
  });
});

describe('beside the number on the sheet', () => {
  const three = drawing('3', 'inbetween', chart);
  const room = { levelPx: 56, numberPx: 15 };
  test('stand the parts that there is room for, the rest counted', () => {
    expect(partLines(three, { ...room, roomPx: 60 })).toEqual(['⅓ sleeve', '42 % th…']);
    expect(partLines(three, { ...room, roomPx: 25 })).toEqual(['+2']);
    expect(partLines(three, { ...room, roomPx: 12 })).toEqual([]);
  });
  test('stands nothing where no chart holds the drawing', () => {
    expect(partLines({ ...three, role: 'breakdown' }, { ...room, roomPx: 60 })).toEqual([]);
    expect(partLines({ ...three, runsOn: true }, { ...room, roomPx: 60 })).toEqual([]);
  });
});

describe('edits', () => {
  const walk = level([drawing('1', 'key'), drawing('3', 'inbetween', chart), drawing('5', 'key')]);
  test('a fraction of the body keeps the parts, and undo brings back what was', () => {
    const edit = chartEdit(walk, '3', { ...chart, fraction: 0.25 });
    expect(edit?.bodies).toEqual([
      { kind: 'chart', level: '', drawing: '3', chart: { ...chart, fraction: 0.25 } },
    ]);
    expect(edit?.back).toEqual([{ kind: 'chart', level: '', drawing: '3', chart }]);
    expect(chartEdit(walk, '3', { ...chart, parts: [...parts] })).toBeUndefined();
    expect(chartFault(walk, '3', chart)).toBeUndefined();
  });
  test('the last part taken off leaves no empty list', () => {
    expect(chartEdit(walk, '3', { ...chart, parts: [] })?.bodies).toEqual([
      { kind: 'chart', level: '', drawing: '3', chart: { from: '1', to: '5', fraction: 0.5 } },
    ]);
  });
  test('running on is said and taken back', () => {
    const edit = runsOnEdit(walk, '3', true);
    expect(edit?.bodies).toEqual([{ kind: 'drawing', level: '', drawing: '3', runsOn: true }]);
    expect(edit?.back).toEqual([{ kind: 'drawing', level: '', drawing: '3', runsOn: false }]);
    expect(runsOnEdit(walk, '3', false)).toBeUndefined();
  });
});
