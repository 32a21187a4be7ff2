import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayOfDate } from '../../../src/note/calendar.ts';
import type { Body, Entry } from '../../../src/note/entry.ts';
import { may } from '../../../src/note/may.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import { outlookOf, planOf, usualPlan } from '../../../src/note/outlook.ts';
import { parseEntry } from '../../../src/note/parse.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { ana, dov, entry, ines, pinBody } from './make.ts';

/** Forty in-betweens, none clean: numbers 1 to 40 in order. */
const shot: Shot = {
  id: 'shot-1',
  title: '',
  fps: 24,
  sizePx: [1, 1],
  levels: [
    {
      name: '',
      exposures: [],
      drawings: Array.from({ length: 40 }, (_, n) => ({
        label: String(n + 1),
        role: 'inbetween',
        takes: [],
      })),
    },
  ],
};
// ISO 8601 calendar: 25 November 2026 is a Wednesday.
const wednesday = dayOfDate('2026-11-25');
const clean = (label: string, day: number, who = ana): Entry =>
  entry(
    { kind: 'drawing state', level: '', drawing: label, state: 'clean' },
    day * 86_400_000 + Number(label),
    who,
  );
const plan = (change: Partial<Extract<Body, { kind: 'plan' }>>): Body => ({ ...usualPlan, ...change });
const look = (entries: readonly Entry[], today = wednesday) =>
  outlookOf(shot, mergeNotes(entries), entries, today, 0);

describe('the outlook of a shot', () => {
  test('nothing known: the trade’s 14 a day (common practice, no source) from today on', () => {
    const outlook = look([]);
    expect(outlook).toMatchObject({ total: 40, done: 0, from: wednesday, people: [], late: [] });
    // 40 at 14 a day: Wednesday, Thursday, Friday.
    expect(outlook.forecast.likely).toBe(wednesday + 2);
    expect(outlook.fan.map(({ likely }) => likely).slice(0, 4)).toEqual([0, 14, 28, 40]);
  });

  test('two people do twice as much, and a week of six days has its Saturday', () => {
    const outlook = look([entry(plan({ people: 2, workingDays: [1, 2, 3, 4, 5, 6] }), 5)]);
    expect(outlook.pace.drawingsADay).toBe(28);
    expect(outlook.forecast.likely).toBe(wednesday + 1);
    expect(
      look([entry(plan({ drawingsADay: 10, workingDays: [1, 2, 3, 4, 5, 6] }), 5)]).forecast.likely,
    ).toBe(dayOfDate('2026-11-28'));
  });

  test('a clean drawing with a note to mend is work to come; fixed, it is done until somebody reopens it', () => {
    const all = Array.from({ length: 40 }, (_, n) => clean(String(n + 1), wednesday - 1));
    const noted = [...all, entry(pinBody({ drawing: '7', drawings: ['7', '9'] }), 10, dov, 'n1')];
    expect(look(all)).toMatchObject({ done: 40, left: [], toMend: 0 });
    expect(look(noted)).toMatchObject({ done: 38, toMend: 2 });
    expect(look(noted).left.map(({ drawing }) => drawing)).toEqual(['7', '9']);
    const fixed = [...noted, entry({ kind: 'state', to: 'n1', state: 'fixed' }, 20, ana)];
    expect(look(fixed)).toMatchObject({ done: 40, toMend: 0 });
    expect(look([...fixed, entry({ kind: 'state', to: 'n1', state: 'reopened' }, 30)])).toMatchObject({
      done: 38,
      toMend: 2,
    });
  });

  test('by a due day, what the likely pace does not reach would be late, in working order', () => {
    const outlook = look([entry(plan({ due: '2026-11-26' }), 5)]);
    expect(outlook.late.map(({ drawing }) => drawing)).toEqual(
      Array.from({ length: 12 }, (_, n) => String(n + 29)),
    );
    expect(look([entry(plan({ due: '2026-11-24' }), 5)]).late).toHaveLength(40);
    expect(look([entry(plan({ due: '2026-11-27' }), 5)]).late).toEqual([]);
  });

  test('after a drawing was done today, what is left begins the next working day', () => {
    const outlook = look([clean('1', wednesday), clean('2', wednesday, dov)]);
    expect(outlook).toMatchObject({ done: 2, from: wednesday + 1 });
    // (2 + 2·14) / 3 = 10 a day: 38 left take four working days from Thursday, the weekend between.
    expect(outlook.pace.drawingsADay).toBe(10);
    expect(outlook.forecast.likely).toBe(dayOfDate('2026-12-01'));
    expect(outlook.people.map(({ person, drawings }) => [person, drawings])).toEqual([
      [ana.id, 1],
      [dov.id, 1],
    ]);
  });

  test('the curve ends where the fan begins; neither ever falls, and all of the fan ends at the total', () => {
    const outlook = look([clean('1', wednesday - 6), clean('2', wednesday - 6), clean('3', wednesday - 2)]);
    expect(outlook.curve).toEqual([
      { day: wednesday - 7, done: 0 },
      { day: wednesday - 6, done: 2 },
      { day: wednesday - 2, done: 3 },
      { day: wednesday - 1, done: 3 },
    ]);
    expect(outlook.fan[0]).toEqual({ day: wednesday - 1, least: 3, likely: 3, most: 3 });
    for (const [n, { least, likely, most }] of outlook.fan.entries()) {
      expect(least).toBeLessThanOrEqual(likely);
      expect(likely).toBeLessThanOrEqual(most);
      expect(likely).toBeGreaterThanOrEqual(outlook.fan[n - 1]?.likely ?? 0);
    }
    expect(outlook.fan.at(-1)).toMatchObject({ day: outlook.forecast.late, least: 40, most: 40 });
  });

  test('the latest plan holds; a withdrawn one does not', () => {
    const first = entry(plan({ people: 2 }), 1);
    const second = entry(plan({ people: 3 }), 2);
    expect(planOf([second, first]).people).toBe(3);
    expect(planOf([first, second, entry({ kind: 'withdraw', to: second.id }, 3)]).people).toBe(2);
    expect(planOf([])).toEqual(usualPlan);
  });

  test('whatever the order and the repeats of the entries, the outlook is the same', () => {
    const entries = [
      clean('1', wednesday - 3),
      clean('2', wednesday - 3, dov),
      clean('3', wednesday - 1),
      entry({ kind: 'drawing state', level: '', drawing: '3', state: 'in clean-up' }, wednesday * 86_400_000),
      entry(plan({ due: '2026-12-01' }), 7),
    ];
    const expected = look(entries);
    fc.assert(
      fc.property(fc.shuffledSubarray([...entries, ...entries], { minLength: 10 }), (shuffled) => {
        expect(look(shuffled)).toEqual(expected);
      }),
      { seed: 7, numRuns: 60 },
    );
  });

  test('a director and an assistant set the due date, an artist does not', () => {
    const asks = (writer: typeof ana): boolean => may(writer, usualPlan, () => undefined).may;
    expect([asks(dov), asks(ines), asks(ana)]).toEqual([true, true, false]);
  });

  test('a plan that is none is refused: a date that is not, no working day, nobody at work', () => {
    const parsed = (body: Body): boolean => parseEntry(entry(body, 5)).ok;
    expect(parsed(plan({ due: '2026-12-01' }))).toBe(true);
    expect(parsed(plan({ due: 'soon' }))).toBe(false);
    expect(parsed(plan({ workingDays: [] }))).toBe(false);
    expect(parsed(plan({ people: 0 }))).toBe(false);
  });

  test('a shot that is all clean is done, and without drawings nothing fails', () => {
    const all = shot.levels[0]?.drawings.map(({ label }) => clean(label, wednesday - 1)) ?? [];
    expect(look(all)).toMatchObject({ done: 40, left: [], late: [], forecast: { likely: wednesday } });
    expect(outlookOf({ ...shot, levels: [] }, mergeNotes([]), [], wednesday, 0)).toMatchObject({
      total: 0,
      done: 0,
    });
  });
});
