/** Which rows of the fix list are shown. Pure. */
import * as v from 'valibot';
import { roleSchema } from '../../note/entry.ts';
import { type FixRow, isSettled } from '../../note/fix-list.ts';
import { drawingOf } from '../../shot/drawing-ref.ts';
import type { Role, Shot } from '../../shot/model.ts';

export const fixFilterSchema = v.object({
  /** `live`: everything that is not approved. */
  state: v.picklist(['live', 'to mend', 'fixed', 'approved', 'all']),
  /** `onlyFindings` for those of the checks alone, `onlyNotes` for those of people, else a name. */
  who: v.string(),
  role: v.union([roleSchema, v.literal('')]),
  /** What it is about, as the rows say it. */
  about: v.string(),
  /** Absent for all. */
  level: v.optional(v.string()),
});
export type FixFilter = v.InferOutput<typeof fixFilterSchema>;

export const noFilter: FixFilter = { state: 'live', who: '', role: '', about: '', level: undefined };

export function shownRows(shot: Shot, rows: readonly FixRow[], filter: FixFilter): FixRow[] {
  return rows.filter(
    (row) =>
      stateFits(row, filter.state) &&
      whoFits(row, filter.who) &&
      (filter.role === '' || roleOf(shot, row) === filter.role) &&
      (filter.about === '' || row.about === filter.about) &&
      (filter.level === undefined || row.level === filter.level),
  );
}

function stateFits(row: FixRow, state: FixFilter['state']): boolean {
  if (state === 'all') return true;
  if (state === 'live') return row.state !== 'approved';
  return state === 'to mend' ? !isSettled(row) : row.state === state;
}

/** Kinds are not names: nobody's name begins with a tab. */
export const onlyNotes = '\tnotes';
export const onlyFindings = '\tfindings';

function whoFits(row: FixRow, who: string): boolean {
  if (who === '') return true;
  if (who === onlyNotes) return row.source === 'note';
  if (who === onlyFindings) return row.source === 'finding';
  return row.who === who || row.replies.some((reply) => reply.who === who);
}

function roleOf(shot: Shot, row: FixRow): Role | undefined {
  return drawingOf(shot, row)?.role;
}

/** Everyone who pinned or answered, and everything rows are about, each once in the list's order. */
export function choicesOf(rows: readonly FixRow[]): { readonly people: string[]; readonly abouts: string[] } {
  const people = rows.flatMap(({ who, replies }) => [who, ...replies.map((reply) => reply.who)]);
  return {
    people: [...new Set(people)].filter((name) => name !== ''),
    abouts: [...new Set(rows.map(({ about }) => about))],
  };
}
