/** Where a note may go from the state it has, for whom. */
import type { Body, NoteState, Person } from './entry.ts';
import { may } from './may.ts';
import type { Note } from './merge.ts';

/** A note goes from open to fixed to approved; reopened is open again. Anything else would say nothing. */
const after: Readonly<Record<NoteState, readonly NoteState[]>> = {
  open: ['fixed', 'approved'],
  fixed: ['approved', 'reopened'],
  approved: ['reopened'],
  reopened: ['fixed', 'approved'],
};

/** The states that this person may give a note now, in the order of their buttons. */
export function nextStates({ id, state }: Pick<Note, 'id' | 'state'>, person: Person): NoteState[] {
  // Whose note it is does not matter to a state, so nothing is looked up.
  const allowed = (next: NoteState): boolean =>
    may(person, { kind: 'state', to: id, state: next }, () => undefined).may;
  return after[state].filter(allowed);
}

/**
 * What a tick against a note says: fixed; or not, after all. One's own *fixed* is withdrawn, another's word
 * and an approval are answered by *reopened*, which `may` judges.
 */
export function tickBody(
  { id, state, stateBy }: Pick<Note, 'id' | 'state' | 'stateBy'>,
  person: Person,
): Body {
  if (after[state].includes('fixed')) return { kind: 'state', to: id, state: 'fixed' };
  if (state === 'fixed' && stateBy?.writer.id === person.id) return { kind: 'withdraw', to: stateBy.id };
  return { kind: 'state', to: id, state: 'reopened' };
}
