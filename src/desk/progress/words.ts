/** The progress in words. Pure but for the tablet's own way of writing dates. */
import { dateOfDay } from '../../note/calendar.ts';
import type { Outlook } from '../../note/outlook.ts';
import { usualDrawingsADay } from '../../note/pace.ts';

const written = (day: number, options: Intl.DateTimeFormatOptions): string =>
  new Date(`${dateOfDay(day)}T12:00:00Z`).toLocaleDateString(undefined, { ...options, timeZone: 'UTC' });

/** `Thu 3 Dec`, as the tablet writes it. */
export const dayWords = (day: number): string =>
  written(day, { weekday: 'short', day: 'numeric', month: 'short' });
export const shortDayWords = (day: number): string => written(day, { day: 'numeric', month: 'short' });

/** One decimal where it says something. */
export const paceWords = (value: number): string => String(Math.round(value * 10) / 10);

export const drawingsWords = (count: number): string => (count === 1 ? '1 drawing' : `${count} drawings`);

/** When it will be done: the likely day, then the range. */
export function forecastWords({ left, toMend, total, forecast: { early, likely, late } }: Outlook): {
  readonly likely: string;
  readonly range: string;
} {
  if (total === 0) return { likely: 'No drawings yet', range: '' };
  if (left.length === 0) return { likely: 'All clean, nothing to mend', range: '' };
  const range = early === late ? '' : `Four times in five, between ${dayWords(early)} and ${dayWords(late)}.`;
  if (toMend === 0) return { likely: `Likely clean on ${dayWords(likely)}`, range };
  const mend = `${drawingsWords(toMend)} to mend`;
  const what = toMend === left.length ? `All clean, ${mend}` : `${left.length - toMend} to clean, ${mend}`;
  return { likely: `${what}: likely done on ${dayWords(likely)}`, range };
}

/** On what the pace rests; the trade's usual one is called what it is. */
export function groundsWords({ pace, plan: { people, drawingsADay } }: Outlook): string {
  const usual =
    drawingsADay === usualDrawingsADay
      ? `the usual ${usualDrawingsADay} a day and person (common practice)`
      : `the ${paceWords(drawingsADay)} a day and person set below`;
  if (pace.days === 0)
    return `Nothing was called clean here yet, so it counts on ${usual}${people > 1 ? `, ${people} people` : ''}.`;
  const days = pace.days === 1 ? '1 working day' : `${pace.days} working days`;
  return `${paceWords(pace.drawingsADay)} a day: from ${days} of this shot, with two days at ${usual} beside them, so that one odd day does not swing it.`;
}
