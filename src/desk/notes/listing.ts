/** Which notes the list shows, and in which order. Pure. */
import * as v from 'valibot';
import { noteStateSchema, roleSchema } from '../../note/entry.ts';
import type { Note } from '../../note/merge.ts';
import { drawingOf, levelNamed } from '../../shot/drawing-ref.ts';
import type { Shot } from '../../shot/model.ts';
import { nearestFrameOf } from '../sheet.ts';

export const filterSchema = v.object({
  /** `live`: everything that still wants something of someone. */
  state: v.picklist(['live', 'all', ...noteStateSchema.options, 'withdrawn']),
  /** Id of the person who pinned or answered; empty for everyone. */
  person: v.string(),
  role: v.union([roleSchema, v.literal('')]),
});
export type Filter = v.InferOutput<typeof filterSchema>;

export const noFilter: Filter = { state: 'live', person: '', role: '' };

const stateFits = (note: Note, state: Filter['state']): boolean => {
  if (state === 'withdrawn') return note.withdrawn;
  if (note.withdrawn) return false;
  if (state === 'all') return true;
  return state === 'live' ? note.state !== 'approved' : note.state === state;
};

const personFits = (note: Note, person: string): boolean =>
  person === '' ||
  note.pin.writer.id === person ||
  note.replies.some(({ entry, withdrawn }) => !withdrawn && entry.writer.id === person);

/** In the order in which the drawings come on screen, then in that of pinning. */
export function listed(shot: Shot, notes: readonly Note[], filter: Filter): Note[] {
  const frameOf = ({ pin: { body } }: Note): number => {
    const level = levelNamed(shot, body.level);
    return (level && nearestFrameOf(level, body.drawing, 1, true)) || Number.POSITIVE_INFINITY;
  };
  const roleFits = (note: Note): boolean =>
    filter.role === '' ||
    note.drawings.some(
      (label) => drawingOf(shot, { level: note.pin.body.level, drawing: label })?.role === filter.role,
    );
  return notes
    .filter((note) => stateFits(note, filter.state) && personFits(note, filter.person) && roleFits(note))
    .map((note) => ({ note, frame: frameOf(note) }))
    .sort((a, b) => a.frame - b.frame || 0)
    .map(({ note }) => note);
}

/** Everyone who pinned or answered, by id. The newest name counts. */
export function peopleOf(notes: readonly Note[]): Map<string, string> {
  const people = new Map<string, string>();
  for (const { history } of notes)
    for (const { writer } of history) people.set(writer.id, writer.name || 'no name given');
  return people;
}

/** Notes that lie on a drawing. Settled ones stay in the list alone. */
export function onDrawing(notes: readonly Note[], level: string, label: string): Note[] {
  return notes.filter(
    (note) =>
      !note.withdrawn &&
      note.state !== 'approved' &&
      note.pin.body.level === level &&
      note.drawings.includes(label),
  );
}

/** `1, 2, 3` and `1 to 5` of five or more in a row. */
export function holdsWords(order: readonly string[], drawings: readonly string[]): string {
  const places = drawings.map((label) => order.indexOf(label)).sort((a, b) => a - b);
  const [first = -1] = places;
  const inRow = first >= 0 && places.every((place, n) => place === first + n);
  if (drawings.length > 2 && inRow) return `${order[first]} to ${order[places.at(-1) ?? first]}`;
  return drawings.join(', ');
}
