/**
 * Pace and forecast: when the shot will be done, from what was really done. Days are whole local days,
 * counted from 1970-01-01 (day 0, a Thursday), so that nothing here needs a clock or a time zone.
 */
import type { Entry } from './entry.ts';
import { drawingKey } from './merge.ts';
import { inOrder, isKind } from './union.ts';

/** Until there is data: drawings a working day on a feature (common practice, no source). */
export const usualDrawingsADay = 14;
/** Until there is data: working time of one drawing (common practice, no source). */
export const usualMinutesADrawing = 20;
/**
 * The usual pace counts as this many days of data. Higher: the forecast trusts the trade for longer; lower:
 * one odd first day swings it.
 */
const usualWeightDays = 2;
/** 80 % of the outcomes lie within ±1.2816 standard deviations of a normal distribution. */
const rangeZ = 1.2816;

/** Monday 1 … Sunday 7 (ISO 8601). */
export type Weekday = 1 | 2 | 3 | 4 | 5 | 6 | 7;
export const usualWorkingDays: readonly Weekday[] = [1, 2, 3, 4, 5];

export interface DayDone {
  readonly day: number;
  /** By the person's id. */
  readonly byPerson: ReadonlyMap<string, number>;
  readonly total: number;
}

export function dayOf(wallMs: number, utcOffsetMinutes: number): number {
  return Math.floor((wallMs + utcOffsetMinutes * 60_000) / 86_400_000);
}

export function weekdayOf(day: number): Weekday {
  return (((((day + 3) % 7) + 7) % 7) + 1) as Weekday;
}

/**
 * What was done each day, ascending, days without work left out: a drawing counts on the day and for the
 * person that first called it clean (or approved it without that), each once however often it is reopened.
 */
export function doneByDay(entries: readonly Entry[], utcOffsetMinutes: number): DayDone[] {
  const counted = new Set<string>();
  const days = new Map<number, Map<string, number>>();
  for (const entry of inOrder(entries)) {
    if (!isKind(entry, 'drawing state')) continue;
    const { level, drawing, state } = entry.body;
    if ((state !== 'clean' && state !== 'approved') || counted.has(drawingKey(level, drawing))) continue;
    counted.add(drawingKey(level, drawing));
    const day = dayOf(entry.stamp.wallMs, utcOffsetMinutes);
    const people = days.get(day) ?? new Map<string, number>();
    people.set(entry.writer.id, (people.get(entry.writer.id) ?? 0) + 1);
    days.set(day, people);
  }
  return [...days]
    .map(([day, byPerson]) => ({ day, byPerson, total: [...byPerson.values()].reduce((a, b) => a + b, 0) }))
    .sort((a, b) => a.day - b.day);
}

export interface Pace {
  readonly drawingsADay: number;
  /** Standard deviation of one day's drawings. */
  readonly spread: number;
  /** Working days it rests on; 0 means it is the trade's usual pace alone. */
  readonly days: number;
}

/**
 * Mean and spread of the working days from the first day something was done to `today` (which counts only
 * if something was done on it). The trade's pace stands in as `usualWeightDays` further days; its spread is
 * that of a Poisson count.
 */
export function paceOf(
  done: readonly DayDone[],
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
): Pace {
  const totals = new Map(done.map(({ day, total }) => [day, total]));
  const first = done[0]?.day;
  const counts: number[] = [];
  if (first !== undefined)
    for (let day = first; day <= today; day++) {
      const total = totals.get(day);
      if (total !== undefined) counts.push(total);
      else if (day < today && workingDays.includes(weekdayOf(day))) counts.push(0);
    }
  const days = counts.length + usualWeightDays;
  const mean = (sum(counts) + usualWeightDays * usualDrawingsADay) / days;
  const variance = (sum(counts.map((count) => (count - mean) ** 2)) + usualWeightDays * mean) / days;
  return { drawingsADay: mean, spread: Math.sqrt(variance), days: counts.length };
}

export interface Forecast {
  /** Days (see the top) by whose evening the work is done: likely, and the ends of an 80 % range. */
  readonly likely: number;
  readonly early: number;
  readonly late: number;
}

/**
 * When `remaining` drawings are done, if work starts on `today`. After T days the count is taken as normal
 * with mean µT and variance σ²T + σ²T²/n: the days' own spread, and how little is known of the mean.
 */
export function forecast(
  remaining: number,
  pace: Pace,
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
): Forecast {
  const known = pace.days + usualWeightDays;
  const days = (z: number): number => {
    if (remaining <= 0) return 0;
    let count = 1;
    // µT + zσ√(T + T²/n) ≥ remaining, first T; a pace near nothing would never end, so a cap.
    while (
      count < 10_000 &&
      pace.drawingsADay * count + z * pace.spread * Math.sqrt(count + (count * count) / known) < remaining
    )
      count++;
    return count;
  };
  const at = (z: number): number => addWorkingDays(today, days(z), workingDays);
  return { likely: at(0), early: at(rangeZ), late: at(-rangeZ) };
}

/** The `count`th working day from `from` on, `from` itself included; `from` for none. */
export function addWorkingDays(from: number, count: number, workingDays: readonly Weekday[]): number {
  let day = from;
  let left = count;
  while (left > 0) {
    if (workingDays.length === 0 || workingDays.includes(weekdayOf(day))) left--;
    if (left > 0) day++;
  }
  return day;
}

/** How many drawings the likely pace finishes by the evening of `due`; what is over would be late. */
export function doneBy(
  due: number,
  pace: Pace,
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
): number {
  let days = 0;
  for (let day = today; day <= due; day++) if (workingDays.includes(weekdayOf(day))) days++;
  return Math.floor(days * pace.drawingsADay);
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0);
}
