/** What the takes say of a row of the fix list. */
import type { FixRow } from '../../note/fix-list.ts';
import { isTelling, type VerdictSummary, verdictWords } from '../../note/retakes/verdict.ts';
import { retakesOf } from '../retakes/retakes-desk.ts';
import type { Session } from '../session.ts';

/** Told on screen when the line moved, and when it is said to be fixed and did not. */
export function redrawnOn(session: Session, row: FixRow): VerdictSummary | undefined {
  const told = row.source === 'note' ? retakesOf(session).verdictOf(row.id) : undefined;
  return told && isTelling(told, row.state) ? told : undefined;
}

/** In a file: always where it is known, as nobody can look it up there. */
export function redrawnWords(session: Session, row: FixRow): string {
  const told = row.source === 'note' ? retakesOf(session).verdictOf(row.id) : undefined;
  if (!told || told.verdict === undefined || told.verdict === 'looking') return '';
  return verdictWords(told.verdict, row.onRough ? 'the rough' : 'a take', told);
}
