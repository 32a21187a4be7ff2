/**
 * Pace and forecast: when the shot will be done, from what was really done. Days are whole local days,
 * counted from 1970-01-01 (day 0, a Thursday), so that nothing here needs a clock or a time zone.
 */
import { drawingKey } from '../shot/drawing-ref.ts';
import { groupBy } from '../shot/group-by.ts';
import { type DrawingState, type Entry, saidMs } from './entry.ts';
import { saidStates } from './merge.ts';
import { isOrigin } from './origin.ts';
import { inOrder, isKind, withdrawnIds } from './union.ts';

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
export const rangeZ = 1.2816;
/** A forecast looks no further: four years of working days. */
const longestDays = 1000;

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

const isClean = (state: DrawingState | undefined): boolean => state === 'clean' || state === 'approved';

export interface DrawingDone {
  /** See `drawingKey`. */
  readonly key: string;
  readonly day: number;
  /** The person's id. */
  readonly person: string;
}

/**
 * Each drawing once, in order of time: on the day and for the person that first called it clean, however
 * often it is reopened. An approval counts as that when the drawing was said to be rough or in clean-up
 * until then; of one that came clean neither it nor a newer take says anything about anybody's pace.
 */
export function firstDone(entries: readonly Entry[], utcOffsetMinutes: number): DrawingDone[] {
  const ordered = inOrder(entries);
  const withdrawn = withdrawnIds(ordered);
  const last = new Map<string, DrawingState>(
    ordered.flatMap((entry) =>
      isKind(entry, 'take') && isOrigin(entry) ? [[drawingKey(entry.body), 'clean']] : [],
    ),
  );
  const said = new Set<string>();
  const done = new Map<string, DrawingDone>();
  for (const { at, state, entry } of saidStates(ordered, withdrawn)) {
    const key = drawingKey(at);
    const isMended = isKind(entry, 'take') && isClean(last.get(key));
    if (!done.has(key) && !isMended && (state === 'clean' || (state === 'approved' && said.has(key))))
      done.set(key, { key, day: dayOf(saidMs(entry), utcOffsetMinutes), person: entry.writer.id });
    said.add(key);
    last.set(key, state);
  }
  return [...done.values()];
}

/** What was done each day, ascending, days without work left out. */
export function doneByDay(drawings: readonly DrawingDone[]): DayDone[] {
  return [...groupBy(drawings, ({ day }) => day)]
    .map(([day, ofDay]) => ({
      day,
      byPerson: new Map([...groupBy(ofDay, ({ person }) => person)].map(([id, own]) => [id, own.length])),
      total: ofDay.length,
    }))
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
 * if something was done on it). `usualADay` stands in as `usualWeightDays` further days; its spread is that
 * of a Poisson count.
 */
export function paceOf(
  done: readonly DayDone[],
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
  usualADay: number = usualDrawingsADay,
): Pace {
  const counts = dayCounts(done, today, workingDays);
  const days = counts.length + usualWeightDays;
  const mean = (sum(counts) + usualWeightDays * usualADay) / days;
  const variance = (sum(counts.map((count) => (count - mean) ** 2)) + usualWeightDays * mean) / days;
  return { drawingsADay: mean, spread: Math.sqrt(variance), days: counts.length };
}

/** Totals of the working days, and of other days on which something was done. */
function dayCounts(done: readonly DayDone[], today: number, workingDays: readonly Weekday[]): number[] {
  const totals = new Map(done.map(({ day, total }) => [day, total]));
  const counts: number[] = [];
  for (let day = done[0]?.day ?? Infinity; day <= today; day++) {
    const total = totals.get(day);
    if (total !== undefined) counts.push(total);
    else if (day < today && workingDays.includes(weekdayOf(day))) counts.push(0);
  }
  return counts;
}

export interface PersonPace {
  /** The person's id. */
  readonly person: string;
  readonly drawings: number;
  /** Working days since this person's first drawing. */
  readonly days: number;
  readonly drawingsADay: number;
}

/** What each really did, without anything usual mixed in; who did most first. */
export function personPaces(
  drawings: readonly DrawingDone[],
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
): PersonPace[] {
  return [...groupBy(drawings, ({ person }) => person)]
    .map(([person, own]) => {
      const days = dayCounts(doneByDay(own), today, workingDays).length;
      return { person, drawings: own.length, days, drawingsADay: own.length / Math.max(1, days) };
    })
    .sort((a, b) => b.drawings - a.drawings);
}

export interface Forecast {
  /** Days (see the top) by whose evening the work is done: likely, and the ends of an 80 % range. */
  readonly likely: number;
  readonly early: number;
  readonly late: number;
}

/**
 * Drawings done after `days` working days, `z` standard deviations off the likely: the count is taken as
 * normal with mean µT and variance σ²T + σ²T²/n, the days' own spread and how little is known of the mean.
 */
export function expectedDone(pace: Pace, days: number, z: number): number {
  const known = pace.days + usualWeightDays;
  return pace.drawingsADay * days + z * pace.spread * Math.sqrt(days + days ** 2 / known);
}

/** When `remaining` drawings are done, if work starts on `today`. */
export function forecast(
  remaining: number,
  pace: Pace,
  today: number,
  workingDays: readonly Weekday[] = usualWorkingDays,
): Forecast {
  const days = (z: number): number => {
    if (remaining <= 0) return 0;
    let count = 1;
    // The first day that is enough; a pace near nothing would never end, so a cap.
    while (count < longestDays && expectedDone(pace, count, z) < remaining) count++;
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
