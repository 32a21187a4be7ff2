/** Where the curve of what is done lies on its paper. Pure. */
import type { Outlook } from '../../note/outlook.ts';

export interface CurvePaper {
  readonly width: number;
  readonly height: number;
  /** Room round the curve, px: above, right, below, left. */
  readonly margin: readonly [top: number, right: number, bottom: number, left: number];
}

export interface CurveLines {
  /** Points x, y, px. */
  readonly done: readonly Point[];
  readonly likely: readonly Point[];
  /** Round the fan, closed. */
  readonly fan: readonly Point[];
  readonly total: number;
  readonly bottom: number;
  readonly today: number;
  readonly due: number | undefined;
  /** Days to write below, with their place. */
  readonly days: readonly { readonly day: number; readonly x: number }[];
}

export type Point = readonly [x: number, y: number];

/** Days written below at most, that they do not run into each other. */
const mostDays = 4;

/**
 * Evenings lie side by side from the first of the curve to the last of the fan, or to the due day where
 * that is later; drawings lie upwards from none to all.
 */
export function curveLines(outlook: Outlook, { width, height, margin }: CurvePaper): CurveLines {
  const [top, right, bottom, left] = margin;
  const { curve, fan, total, dueDay, from } = outlook;
  const first = curve[0]?.day ?? from - 1;
  const last = Math.max(first + 1, fan.at(-1)?.day ?? first, dueDay ?? first);
  const x = (day: number): number => left + ((width - left - right) * (day - first)) / (last - first);
  const y = (done: number): number => height - bottom - ((height - top - bottom) * done) / Math.max(1, total);
  const most = fan.map(({ day, most: value }): Point => [x(day), y(value)]);
  const least = fan.map(({ day, least: value }): Point => [x(day), y(value)]);
  return {
    done: stairs(curve).map(({ day, done }): Point => [x(day), y(done)]),
    likely: untilFull(fan, total).map(({ day, likely }): Point => [x(day), y(likely)]),
    fan: [...most, ...least.toReversed()],
    total: y(total),
    bottom: y(0),
    today: x(from - 1),
    due: dueDay === undefined || dueDay < first ? undefined : x(dueDay),
    days: writtenDays(first, last).map((day) => ({ day, x: x(day) })),
  };
}

/** Days without work between two are level: what was done on a day is there by its evening. */
function stairs(curve: Outlook['curve']): { day: number; done: number }[] {
  return curve.flatMap((point, n) => {
    const before = curve[n - 1];
    return before && point.day - before.day > 1
      ? [{ day: point.day - 1, done: before.done }, point]
      : [point];
  });
}

/** The likely line ends where it reaches the total. */
function untilFull(fan: Outlook['fan'], total: number): Outlook['fan'] {
  const end = fan.findIndex(({ likely }) => likely >= total);
  return end < 0 ? fan : fan.slice(0, end + 1);
}

/** The ends, and days at even steps between; no two nearer than a step. */
export function writtenDays(first: number, last: number): number[] {
  const step = Math.max(1, Math.ceil((last - first) / (mostDays - 1)));
  const days: number[] = [];
  for (let day = first; day <= last - step; day += step) days.push(day);
  return [...days, last];
}
