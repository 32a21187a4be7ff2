/** What waits on all the shots kept here, for the one who holds the tablet. Pure. */
import * as v from 'valibot';
import type { KnownFindings } from '../../desk/findings.ts';
import type { Entry } from '../../note/entry.ts';
import type { FixFinding } from '../../note/fix-list.ts';
import { mergeNotes, type Note, type Notes } from '../../note/merge.ts';
import { type Outlook, outlookOf } from '../../note/outlook.ts';
import { drawingState } from '../../note/progress.ts';
import { standingsOf } from '../../note/standing.ts';
import { isToLookAt, isToMend, type Waits, waitsOf } from '../../note/waits.ts';
import { type DrawingRef, drawingKey, drawingsByKey } from '../../shot/drawing-ref.ts';
import { groupBy } from '../../shot/group-by.ts';
import type { Drawing, Shot } from '../../shot/model.ts';
import { workingOrder } from '../../shot/working-order.ts';

export const lists = ['mend', 'look', 'shots'] as const;

/** What the list shows; kept on the tablet. */
export const choiceSchema = v.object({
  list: v.picklist(lists),
  /** A shot's id; empty for all. */
  shot: v.string(),
});
export type Choice = v.InferOutput<typeof choiceSchema>;

/** The day it is here, and its offset, as `outlookOf` wants them. */
export interface Day {
  readonly day: number;
  readonly utcOffsetMinutes: number;
}

/** A drawing on which something waits. */
export interface Line {
  readonly shotId: string;
  readonly at: DrawingRef;
  readonly drawing: Drawing;
  readonly waits: Waits;
  /** What is to be mended, or was said to be fixed, in the words of who said it. */
  readonly says: readonly string[];
}

export interface ShotToday {
  readonly shot: Shot;
  readonly outlook: Outlook;
  /** In working order. */
  readonly mend: readonly Line[];
  readonly look: readonly Line[];
  /** Clean drawings that nobody has measured yet. */
  readonly unchecked: number;
  /** Who has which drawings in clean-up, as they said. */
  readonly hands: readonly { readonly name: string; readonly drawings: readonly string[] }[];
}

export function shotToday(
  shot: Shot,
  entries: readonly Entry[],
  { findings, unchecked }: KnownFindings,
  { day, utcOffsetMinutes }: Day,
): ShotToday {
  const notes = mergeNotes(entries);
  const waits = waitsOf(shot, notes, findings);
  const drawings = drawingsByKey(shot);
  const lines = workingOrder(shot.levels).flatMap((at): Line[] => {
    const key = drawingKey(at);
    const own = waits.get(key);
    const drawing = drawings.get(key);
    return own && drawing
      ? [{ shotId: shot.id, at, drawing, waits: own, says: saysOn(notes, findings, at) }]
      : [];
  });
  return {
    shot,
    outlook: outlookOf(shot, notes, entries, day, utcOffsetMinutes),
    mend: lines.filter(({ waits }) => isToMend(waits)),
    look: lines.filter(({ waits }) => isToLookAt(waits)),
    unchecked,
    hands: handsOf(shot, notes),
  };
}

const wordsOf = ({ text, about }: Note): string => text || `A drawn note about ${about}`;

function saysOn(notes: Notes, findings: readonly FixFinding[], at: DrawingRef): string[] {
  const here = notes.notes.filter(
    (note) =>
      !note.withdrawn &&
      note.state !== 'approved' &&
      note.pin.body.level === at.level &&
      note.drawings.includes(at.drawing),
  );
  const own = findings.filter((finding) => drawingKey(finding) === drawingKey(at));
  const found = standingsOf(notes, own).flatMap(({ finding, standing }) =>
    standing === 'open' && finding.check !== 'missing' ? [finding.message] : [],
  );
  return [...here.map(wordsOf), ...found];
}

function handsOf(shot: Shot, notes: Notes): ShotToday['hands'] {
  const taken = shot.levels.flatMap(({ name: level, drawings }) =>
    drawings.flatMap((drawing) => {
      if (drawingState(notes, level, drawing) !== 'in clean-up') return [];
      const writer = notes.drawingStates.get(drawingKey({ level, drawing: drawing.label }))?.entry.writer;
      return [{ name: writer?.name || writer?.role || 'somebody', drawing: drawing.label }];
    }),
  );
  return [...groupBy(taken, ({ name }) => name)].map(([name, own]) => ({
    name,
    drawings: own.map(({ drawing }) => drawing),
  }));
}

/** The shots with the nearest due day first, those without one last; equal ones by title. */
export function byDueDay(shots: readonly ShotToday[]): ShotToday[] {
  return shots.toSorted(
    (a, b) =>
      (a.outlook.dueDay ?? Number.MAX_SAFE_INTEGER) - (b.outlook.dueDay ?? Number.MAX_SAFE_INTEGER) ||
      a.shot.title.localeCompare(b.shot.title),
  );
}
