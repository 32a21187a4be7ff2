import { describe, expect, test } from 'vitest';
import { doneWords } from '../../../src/app/shot-words.ts';
import { type CurvePaper, curveLines, writtenDays } from '../../../src/desk/progress/done-curve.ts';
import { forecastWords, groundsWords } from '../../../src/desk/progress/words.ts';
import { dayOfDate } from '../../../src/note/calendar.ts';
import type { Entry } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { outlookOf, usualPlan } from '../../../src/note/outlook.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { entry } from '../note/make.ts';

const shotOf = (count: number): Shot => ({
  id: 'shot-1',
  title: '',
  fps: 24,
  sizePx: [1, 1],
  levels: [
    {
      name: '',
      exposures: [],
      drawings: Array.from({ length: count }, (_, n) => ({ label: String(n + 1), takes: [] })),
    },
  ],
});
// ISO 8601 calendar: 25 November 2026 is a Wednesday.
const wednesday = dayOfDate('2026-11-25');
const clean = (label: number, day: number): Entry =>
  entry(
    { kind: 'drawing state', level: '', drawing: String(label), state: 'clean' },
    day * 86_400_000 + label,
  );
const look = (count: number, entries: readonly Entry[]) =>
  outlookOf(shotOf(count), mergeNotes(entries), entries, wednesday, 0);

const paper: CurvePaper = { width: 300, height: 200, margin: [20, 10, 30, 40] };

describe('the curve', () => {
  test('lies within its paper, and no line turns back in time', () => {
    const entries = [clean(1, wednesday - 6), clean(2, wednesday - 6), clean(3, wednesday - 1)];
    const lines = curveLines(look(60, entries), paper);
    for (const [x, y] of [...lines.done, ...lines.likely, ...lines.fan]) {
      expect(x).toBeGreaterThanOrEqual(40);
      expect(x).toBeLessThanOrEqual(290 + 1e-9);
      expect(y).toBeGreaterThanOrEqual(20 - 1e-9);
      expect(y).toBeLessThanOrEqual(170 + 1e-9);
    }
    for (const line of [lines.done, lines.likely])
      for (const [n, [x, y]] of line.entries()) {
        expect(x).toBeGreaterThanOrEqual(line[n - 1]?.[0] ?? 0);
        expect(y).toBeLessThanOrEqual(line[n - 1]?.[1] ?? 200);
      }
    // None at the bottom, all at the top: the paper less its margins.
    expect([lines.bottom, lines.total]).toEqual([170, 20]);
    expect(lines.done[0]).toEqual([40, 170]);
    expect(lines.likely.at(-1)?.[1]).toBeCloseTo(20, 9);
  });

  test('what was done on a day is there by its evening; days without work are level', () => {
    const [, level, step] = curveLines(
      look(10, [clean(1, wednesday - 8), clean(2, wednesday - 2)]),
      paper,
    ).done;
    expect(level?.[1]).toBeCloseTo(170 - 15, 9);
    expect(step?.[1]).toBeCloseTo(170 - 15, 9);
  });

  test('a due day later than the forecast is on the paper; one before the curve is not', () => {
    const due = (date: string) => look(10, [entry({ ...usualPlan, due: date }, 5)]);
    expect(curveLines(due('2026-12-20'), paper).due).toBeCloseTo(290, 9);
    expect(curveLines(due('2026-11-01'), paper).due).toBeUndefined();
    expect(curveLines(look(10, []), paper).due).toBeUndefined();
  });

  test('a shot without drawings, and one that is all clean, are drawn too', () => {
    for (const outlook of [look(0, []), look(1, [clean(1, wednesday - 1)])])
      for (const [x, y] of [...curveLines(outlook, paper).done, ...curveLines(outlook, paper).fan])
        expect(Number.isFinite(x) && Number.isFinite(y)).toBe(true);
  });

  test('days are written at both ends, four at most, never in disorder', () => {
    for (let length = 1; length < 400; length += 7) {
      const days = writtenDays(100, 100 + length);
      expect(days[0]).toBe(100);
      expect(days.at(-1)).toBe(100 + length);
      expect(days.length).toBeLessThanOrEqual(4);
      expect(days).toEqual([...new Set(days)].sort((a, b) => a - b));
    }
  });
});

describe('in words', () => {
  test('the shelf says how many are clean, and how many of them approved', () => {
    const done = (['rough', 'in clean-up', 'clean', 'approved'] as const).map((state, n) => ({
      drawing: { label: String(n), takes: [], ...(n > 1 && { role: 'key' as const }) },
      state,
    }));
    expect(doneWords(done)).toBe('2 of 4 clean, 1 of them approved: keys 2 of 2');
    expect(doneWords(done.slice(0, 2))).toBe('0 of 2 clean');
  });

  test('the usual pace is called common practice until something was done', () => {
    expect(groundsWords(look(10, []))).toContain('the usual 14 a day and person (common practice)');
    expect(groundsWords(look(10, [clean(1, wednesday - 1)]))).toMatch(
      /^9\.7 a day: from 1 working day of this shot/,
    );
  });

  test('all clean, no drawings, and a range only where there is one', () => {
    expect(forecastWords(look(1, [clean(1, wednesday)])).likely).toBe('All clean, nothing to mend');
    expect(forecastWords(look(0, [])).likely).toBe('No drawings yet');
    expect(forecastWords(look(1, []))).toMatchObject({ range: '' });
    expect(forecastWords(look(60, [])).range).toContain('Four times in five');
  });
});
