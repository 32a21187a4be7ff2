import { describe, expect, test } from 'vitest';
import type { DrawingState, Entry } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import {
  addWorkingDays,
  dayOf,
  doneBy,
  doneByDay,
  forecast,
  paceOf,
  weekdayOf,
} from '../../../src/note/pace.ts';
import { progressOf } from '../../../src/note/progress.ts';
import type { Shot } from '../../../src/shot/model.ts';

const dayMs = 86_400_000;
// ISO 8601 calendar: 25 November 2026 is a Wednesday.
const wednesday = dayOf(Date.UTC(2026, 10, 25), 0);

let count = 0;
function said(drawing: string, state: DrawingState, wallMs: number, who = 'a'): Entry {
  count++;
  return {
    v: 1,
    id: `e${count}`,
    shot: 's',
    writer: { id: who, name: who, role: 'artist' },
    stamp: { wallMs, counter: 0 },
    body: { kind: 'drawing state', level: '', drawing, state },
  };
}

test('states are counted by role; takes speak where nobody did', () => {
  const image = { sha256: 'x', width: 1, height: 1, mediaType: 'image/png', byteLength: 1 };
  const take = { number: 1, image };
  const shot: Shot = {
    id: 's',
    title: '',
    fps: 24,
    sizePx: [1, 1],
    levels: [
      {
        name: '',
        exposures: [],
        drawings: [
          { label: '1', role: 'key', takes: [take] },
          { label: '2', role: 'key', takes: [] },
          { label: '3', role: 'breakdown', takes: [take] },
          { label: '4', takes: [] },
        ],
      },
    ],
  };
  const progress = progressOf(shot, mergeNotes([said('3', 'in clean-up', 5), said('1', 'approved', 6)]));
  expect(progress.key).toEqual({ total: 2, byState: { rough: 1, 'in clean-up': 0, clean: 0, approved: 1 } });
  expect(progress.breakdown.byState['in clean-up']).toBe(1);
  expect(progress.unset.byState.rough).toBe(1);
  expect(progress.all.total).toBe(4);
});

describe('days', () => {
  test('weekdays agree with the platform calendar', () => {
    for (let day = -800; day < 30_000; day += 37)
      expect(weekdayOf(day), `day ${day}`).toBe(((new Date(day * dayMs).getUTCDay() + 6) % 7) + 1);
  });

  test('a day begins at local midnight', () => {
    const lateEvening = Date.UTC(2026, 10, 25, 23, 30);
    expect(dayOf(lateEvening, 0)).toBe(wednesday);
    expect(dayOf(lateEvening, 60)).toBe(wednesday + 1);
    expect(dayOf(lateEvening, -600)).toBe(wednesday);
  });

  test('working days pass over the weekend', () => {
    expect(addWorkingDays(wednesday, 3, [1, 2, 3, 4, 5])).toBe(wednesday + 2);
    expect(addWorkingDays(wednesday, 4, [1, 2, 3, 4, 5])).toBe(wednesday + 5);
    expect(addWorkingDays(wednesday + 3, 1, [1, 2, 3, 4, 5])).toBe(wednesday + 5);
  });
});

describe('pace', () => {
  test('each drawing counts once, for who first called it clean', () => {
    const at = wednesday * dayMs;
    const done = doneByDay(
      [
        said('1', 'clean', at + 1, 'a'),
        said('1', 'in clean-up', at + 2, 'b'),
        said('1', 'clean', at + dayMs, 'b'),
        said('2', 'approved', at + dayMs, 'b'),
        said('3', 'in clean-up', at + dayMs, 'b'),
      ],
      0,
    );
    expect(done.map(({ day, total }) => [day, total])).toEqual([
      [wednesday, 1],
      [wednesday + 1, 1],
    ]);
    expect([...(done[0]?.byPerson ?? [])]).toEqual([['a', 1]]);
  });

  test("without data it is the trade's 14 a day (common practice, no source), and says so", () => {
    expect(paceOf([], wednesday)).toMatchObject({ drawingsADay: 14, days: 0 });
  });

  test('with months of data it is what was done, days off included, weekends not', () => {
    const done = Array.from({ length: 60 }, (_, week) => ({
      day: wednesday - 7 * (60 - week),
      byPerson: new Map([['a', 10]]),
      total: 10,
    }));
    // Ten drawings each Wednesday and nothing on the four other working days: two a day.
    const pace = paceOf(done, wednesday - 1);
    expect(pace.days).toBe(60 * 5 - 1);
    expect(pace.drawingsADay).toBeCloseTo((600 + 2 * 14) / (299 + 2), 10);
  });
});

describe('forecast', () => {
  test('nothing left is done today', () => {
    expect(forecast(0, paceOf([], wednesday), wednesday)).toEqual({
      likely: wednesday,
      early: wednesday,
      late: wednesday,
    });
  });

  test('28 drawings at 14 a day take two days, within a range', () => {
    const outlook = forecast(28, paceOf([], wednesday), wednesday);
    expect(outlook.likely).toBe(wednesday + 1);
    expect(outlook.early).toBeLessThanOrEqual(outlook.likely);
    expect(outlook.late).toBeGreaterThan(outlook.likely);
  });

  test('more data of the same pace narrows the range; more work widens it', () => {
    const steady = (days: number) =>
      Array.from({ length: days }, (_, i) => ({ day: i, byPerson: new Map([['a', 14]]), total: 14 }));
    const everyDay = [1, 2, 3, 4, 5, 6, 7] as const;
    const range = (days: number, remaining: number): number => {
      const pace = paceOf(steady(days), days - 1, everyDay);
      const { early, late } = forecast(remaining, pace, days, everyDay);
      return late - early;
    };
    expect(range(100, 400)).toBeLessThan(range(3, 400));
    expect(range(20, 4000)).toBeGreaterThan(range(20, 400));
  });

  test('what is over by the due day would be late', () => {
    const pace = paceOf([], wednesday);
    expect(doneBy(wednesday + 4, pace, wednesday)).toBe(3 * 14);
    expect(doneBy(wednesday - 1, pace, wednesday)).toBe(0);
  });
});
