/** Which rows of the fix list are shown. Pure. */
import { type FixRow, isSettled } from '../../note/fix-list.ts';
import type { Role, Shot } from '../../shot/model.ts';
import { drawingLabelled, levelNamed } from '../sheet.ts';

export interface FixFilter {
  /** `live`: everything that is not approved. */
  readonly state: 'live' | 'to mend' | 'fixed' | 'approved' | 'all';
  /** `findings` for those of the checks alone, `notes` for those of people, else a name. */
  readonly who: string;
  readonly role: Role | '';
  /** What it is about, as the rows say it. */
  readonly about: string;
  readonly level: string | undefined;
}

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
  return drawingLabelled(levelNamed(shot, row.level), row.drawing)?.role;
}

/** Everyone who pinned or answered, and everything rows are about, each once in the list's order. */
export function choicesOf(rows: readonly FixRow[]): { readonly people: string[]; readonly abouts: string[] } {
  const people = rows.flatMap(({ who, replies }) => [who, ...replies.map((reply) => reply.who)]);
  return {
    people: [...new Set(people)].filter((name) => name !== ''),
    abouts: [...new Set(rows.map(({ about }) => about))],
  };
}
