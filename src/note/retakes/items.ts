/** What is gone through when takes are looked at: notes in working order, and which two takes each means. Pure. */

import { drawingOf } from '../../shot/drawing-ref.ts';
import type { Drawing, Shot, Take } from '../../shot/model.ts';
import type { FixRow } from '../fix-list.ts';
import type { Note, Notes } from '../merge.ts';

/** A drawing that a note speaks of. */
export interface OnDrawing {
  readonly drawing: string;
  /** What it was made on. */
  readonly madeOn: 'a take' | 'the rough' | 'a picture that is not here';
  /** The take it was made on and the newest one; absent unless that one is newer. */
  readonly takes?: TakePair;
}

/** A note in the list, on the drawing whose picture it was made on. */
export interface Item extends OnDrawing {
  readonly note: Note;
  readonly row: FixRow;
  readonly level: string;
  /** The other drawings it holds for. */
  readonly others: readonly OnDrawing[];
}

export interface TakePair {
  readonly older: Take;
  readonly newer: Take;
}

/** Notes that stand, in the order of the fix list. */
export function itemsOf(shot: Shot, notes: Notes, rows: readonly FixRow[]): Item[] {
  const byId = new Map(notes.notes.map((note) => [note.id, note]));
  return rows.flatMap((row): Item[] => {
    const note = byId.get(row.id);
    if (!note || note.withdrawn) return [];
    const { level, drawing } = note.pin.body;
    const on = (label: string): OnDrawing =>
      onDrawing(drawingOf(shot, { level, drawing: label }), label, note.on.get(label));
    const others = note.drawings.filter((label) => label !== drawing).map(on);
    return [{ note, row, level, ...on(drawing), others }];
  });
}

function onDrawing(found: Drawing | undefined, label: string, image: string | undefined): OnDrawing {
  const older = found?.takes.find((take) => take.image.sha256 === image);
  const newer = found?.takes.at(-1);
  if (older && newer) {
    const takes = newer.number > older.number ? { takes: { older, newer } } : {};
    return { drawing: label, madeOn: 'a take', ...takes };
  }
  const onRough = found?.rough !== undefined && found.rough.sha256 === image;
  return { drawing: label, madeOn: onRough ? 'the rough' : 'a picture that is not here' };
}

/** What an item says of one of its drawings. */
export const itemOn = (item: Item | undefined, label: string): OnDrawing | undefined =>
  item && [item, ...item.others].find(({ drawing }) => drawing === label);

/** The fixed ones, which wait for a director's look. */
export const waiting = (items: readonly Item[]): Item[] => items.filter(({ note }) => note.state === 'fixed');

/** The next that waits after this one, from the start again at the end; itself is left out. */
export function nextWaiting(items: readonly Item[], id: string | undefined): Item | undefined {
  const at = items.findIndex(({ note }) => note.id === id);
  return waiting([...items.slice(at + 1), ...items.slice(0, Math.max(0, at))])[0];
}

/**
 * The two takes to lay on the paper: the one chosen by hand, else the one a note was made on, else the one
 * before the newest. Undefined while there is but one.
 */
export function pairOf(
  drawing: Drawing | undefined,
  byHand: number | undefined,
  noted: TakePair | undefined,
): TakePair | undefined {
  const newer = drawing?.takes.at(-1);
  const before = drawing?.takes.at(-2);
  if (!newer || !before) return undefined;
  const chosen = drawing?.takes.find(({ number }) => number === byHand && number < newer.number);
  return { older: chosen ?? noted?.older ?? before, newer };
}
