/** What is left of a shot, at what pace it goes, when it will be done, and what would be late. */
import { type DrawingRef, drawingKey } from '../shot/drawing-ref.ts';

import type { Shot } from '../shot/model.ts';
import { workingOrder } from '../shot/working-order.ts';
import { dayOfDate } from './calendar.ts';
import type { Entry, Plan } from './entry.ts';
import type { Notes } from './merge.ts';
import {
  type DrawingDone,
  doneBy,
  doneByDay,
  expectedDone,
  type Forecast,
  firstDone,
  forecast,
  type Pace,
  type PersonPace,
  paceOf,
  personPaces,
  rangeZ,
  usualDrawingsADay,
  usualWorkingDays,
  weekdayOf,
} from './pace.ts';
import { drawingState } from './progress.ts';
import { type EntryOf, inOrder, isKind, withdrawnIds } from './union.ts';
import { waitsOf } from './waits.ts';

export interface Outlook {
  readonly plan: Plan;
  readonly total: number;
  /** Clean or approved, and nothing to be mended on it. */
  readonly done: number;
  /** Not clean yet, or to be mended, in working order. */
  readonly left: readonly DrawingRef[];
  /** Of those left, how many were clean and are to be mended: an open or reopened note holds for them. */
  readonly toMend: number;
  /** Of everyone together. */
  readonly pace: Pace;
  readonly people: readonly PersonPace[];
  /** Day on which what is left is begun: today, or the next when something was done today already. */
  readonly from: number;
  readonly forecast: Forecast;
  readonly dueDay: number | undefined;
  /** What the likely pace does not reach by the due day, in working order. */
  readonly late: readonly DrawingRef[];
  /** How many were done by the evening of each day, ascending; begins the evening before the first. */
  readonly curve: readonly { readonly day: number; readonly done: number }[];
  /** The same to come: likely, and the ends of the 80 % range; begins at the last of `curve`. */
  readonly fan: readonly FanDay[];
}

interface FanDay {
  readonly day: number;
  readonly least: number;
  readonly likely: number;
  readonly most: number;
}

export const usualPlan: Plan = {
  kind: 'plan',
  due: null,
  workingDays: [...usualWorkingDays],
  people: 1,
  drawingsADay: usualDrawingsADay,
};

export function planOf(entries: readonly Entry[]): Plan {
  const ordered = inOrder(entries);
  const withdrawn = withdrawnIds(ordered);
  const last = ordered.findLast(
    (entry): entry is EntryOf<'plan'> => isKind(entry, 'plan') && !withdrawn.has(entry.id),
  );
  return last?.body ?? usualPlan;
}

/** `today` and `utcOffsetMinutes` as the tablet has them. */
export function outlookOf(
  shot: Shot,
  notes: Notes,
  entries: readonly Entry[],
  today: number,
  utcOffsetMinutes: number,
): Outlook {
  const plan = planOf(entries);
  const { workingDays } = plan;
  const waits = waitsOf(shot, notes);
  const isClean = new Map(
    shot.levels.flatMap((level) =>
      level.drawings.map((drawing) => {
        const state = drawingState(notes, level.name, drawing);
        const ref = { level: level.name, drawing: drawing.label };
        return [drawingKey(ref), state === 'clean' || state === 'approved'] as const;
      }),
    ),
  );
  const isNoted = (key: string): boolean => (waits.get(key)?.notes ?? 0) > 0;
  const isDone = new Map([...isClean].map(([key, clean]) => [key, clean && !isNoted(key)]));
  const left = workingOrder(shot.levels).filter((ref) => isDone.get(drawingKey(ref)) === false);
  const total = isDone.size;
  const done = total - left.length;
  const drawings = firstDone(entries, utcOffsetMinutes).filter(({ key }) => isDone.has(key));
  const days = doneByDay(drawings);
  const pace = paceOf(days, today, workingDays, plan.people * plan.drawingsADay);
  const from = days.some(({ day }) => day === today) ? today + 1 : today;
  const dueDay = plan.due === null ? undefined : dayOfDate(plan.due);
  const outlook = forecast(left.length, pace, from, workingDays);
  return {
    plan,
    total,
    done,
    left,
    toMend: [...isClean].filter(([key, clean]) => clean && isNoted(key)).length,
    pace,
    people: personPaces(drawings, today, workingDays),
    from,
    forecast: outlook,
    dueDay,
    late: dueDay === undefined ? [] : left.slice(doneBy(dueDay, pace, from, workingDays)),
    curve: curveOf(
      drawings.filter(({ key }) => isDone.get(key)),
      done,
      from - 1,
    ),
    fan: fanOf(done, total, pace, { from, until: outlook.late, workingDays }),
  };
}

/** What was clean before anybody said so is there from the start. */
function curveOf(drawings: readonly DrawingDone[], done: number, until: number): Outlook['curve'] {
  let sum = done - drawings.length;
  const curve = doneByDay(drawings).map(({ day, total }) => ({ day, done: (sum += total) }));
  const first = curve[0]?.day;
  return [
    { day: (first ?? until + 1) - 1, done: done - drawings.length },
    ...curve,
    ...(first !== undefined && (curve.at(-1)?.day ?? until) < until ? [{ day: until, done }] : []),
  ];
}

function fanOf(
  done: number,
  total: number,
  pace: Pace,
  { from, until, workingDays }: { from: number; until: number; workingDays: Plan['workingDays'] },
): FanDay[] {
  const fan: FanDay[] = [{ day: from - 1, least: done, likely: done, most: done }];
  if (done >= total) return fan;
  const held = (count: number): number => Math.min(total, done + Math.max(0, count));
  let days = 0;
  for (let day = from; day <= until; day++) {
    if (workingDays.includes(weekdayOf(day))) days++;
    const [least, likely, most] = [-rangeZ, 0, rangeZ].map((z) => held(expectedDone(pace, days, z)));
    fan.push({ day, least: least ?? done, likely: likely ?? done, most: most ?? done });
  }
  return fan;
}
