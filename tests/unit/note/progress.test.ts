import { describe, expect, test } from 'vitest';
import { dateOfDay, dayOfDate } from '../../../src/note/calendar.ts';
import type { DrawingState, Entry } from '../../../src/note/entry.ts';
import { mergeNotes } from '../../../src/note/merge.ts';
import {
  addWorkingDays,
  dayOf,
  doneBy,
  doneByDay,
  expectedDone,
  firstDone,
  forecast,
  paceOf,
  personPaces,
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

  test('dates agree with the platform calendar, both ways', () => {
    for (let day = -700_000; day < 2_900_000; day += 3_331) {
      const date = new Date(day * dayMs).toISOString().slice(0, 10);
      expect(dateOfDay(day)).toBe(date);
      expect(dayOfDate(date)).toBe(day);
    }
    for (let day = 20_000; day < 23_000; day++)
      expect(dateOfDay(day)).toBe(new Date(day * dayMs).toISOString().slice(0, 10));
    expect(dayOfDate('2026-11-25')).toBe(wednesday);
    for (const none of ['2027-13-01', '2027-02-29', '2027-04-31', '2027-00-10', 'soon', '27-1-1'])
      expect(dayOfDate(none), none).toBeNaN();
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
    const drawings = firstDone(
      [
        said('1', 'clean', at + 1, 'a'),
        said('1', 'in clean-up', at + 2, 'b'),
        said('1', 'clean', at + dayMs, 'b'),
        said('2', 'in clean-up', at + 3, 'b'),
        said('2', 'approved', at + dayMs, 'b'),
        said('3', 'in clean-up', at + dayMs, 'b'),
      ],
      0,
    );
    const done = doneByDay(drawings);
    expect(done.map(({ day, total }) => [day, total])).toEqual([
      [wednesday, 1],
      [wednesday + 1, 1],
    ]);
    expect([...(done[0]?.byPerson ?? [])]).toEqual([['a', 1]]);
  });

  test('approving what came clean, and what was taken back, are nobody’s drawings', () => {
    const slip = said('2', 'clean', wednesday * dayMs + 5);
    const back: Entry = {
      ...said('2', 'clean', wednesday * dayMs + 9),
      body: { kind: 'withdraw', to: slip.id },
    };
    expect(firstDone([said('1', 'approved', wednesday * dayMs), slip, back], 0)).toEqual([]);
  });

  test('each person’s own pace is what was really done, by working days', () => {
    // Friday two, Monday none, Tuesday four: six in three working days, the weekend left out.
    const friday = wednesday - 5;
    const of = (day: number, count: number, who: string) =>
      Array.from({ length: count }, (_, n) => said(`${who}${day}-${n}`, 'clean', day * dayMs + n, who));
    const drawings = firstDone(
      [...of(friday, 2, 'a'), ...of(friday + 4, 4, 'a'), ...of(friday + 4, 1, 'b')],
      0,
    );
    expect(personPaces(drawings, friday + 4)).toEqual([
      { person: 'a', drawings: 6, days: 3, drawingsADay: 2 },
      { person: 'b', drawings: 1, days: 1, drawingsADay: 1 },
    ]);
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

  test('the range is the normal one, by hand', () => {
    // µ 14, σ² = µ, n = 2: after two days 28 ± 1.2816·√(14·(2 + 4/2)) = 28 ± 9.59 (80 % of a normal distribution).
    const pace = paceOf([], wednesday);
    expect(expectedDone(pace, 2, -1.2816)).toBeCloseTo(28 - 1.2816 * Math.sqrt(56), 6);
    // So 18 are sure by the second evening, 19 by the third.
    expect(forecast(18, pace, wednesday).late).toBe(wednesday + 1);
    expect(forecast(19, pace, wednesday).late).toBe(wednesday + 2);
  });

  test('what is over by the due day would be late', () => {
    const pace = paceOf([], wednesday);
    expect(doneBy(wednesday + 4, pace, wednesday)).toBe(3 * 14);
    expect(doneBy(wednesday - 1, pace, wednesday)).toBe(0);
  });
});
