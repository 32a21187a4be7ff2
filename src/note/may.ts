/** Who may do what: asked by the desk before it offers something, and by the server for every entry. */
import type { Body, Entry, NoteState, Person } from './entry.ts';
import { isReserved, isShotKind } from './origin.ts';

export type Answer =
  | { readonly may: true }
  | { readonly may: false; readonly code: 'role' | 'owner' | 'early'; readonly reason: string };

const yes: Answer = { may: true };

const statesOf: Readonly<Record<Person['role'], readonly NoteState[]>> = {
  artist: ['fixed'],
  director: ['open', 'fixed', 'approved', 'reopened'],
  assistant: [],
};

/**
 * | who       | what                                                                                       |
 * | --------- | ------------------------------------------------------------------------------------------ |
 * | everyone  | pin, reply, dismiss, tolerance, path dot, drawing state but *approved*; edit, withdraw what is theirs |
 * | everyone  | a drawing, its rough, a take                                                               |
 * | artist    | state *fixed*                                                                              |
 * | assistant | role, chart, exposure, running on, plan, house rules; title and rate of the shot, its levels            |
 * | director  | all of it; alone approves, reopens, withdraws what is another's                            |
 * | no person | what a shot is made of (`origin.ts`), nothing else                                         |
 *
 * `find` gives the entry that an edit or withdrawal speaks of: when it has not arrived, the answer is `early`, and
 * worth asking again later.
 * Bodies of later versions pass; the version that learns them judges them by their writer's role (`shot-of.ts`).
 */
export function may(person: Person, body: Body, find: (id: string) => Entry | undefined): Answer {
  if (isReserved(person.id))
    return isShotKind(body.kind) ? yes : no(person, 'say what only a person may say');
  if (person.role === 'director') return yes;
  switch (body.kind) {
    case 'edit':
    case 'withdraw':
      return mayChange(person, body.to, find);
    case 'state':
      if (statesOf[person.role].includes(body.state)) return yes;
      return no(person, `say "${body.state}" of a note`);
    case 'role':
      return person.role === 'assistant' ? yes : no(person, 'set the role of a drawing');
    case 'chart':
      return person.role === 'assistant' ? yes : no(person, 'set a timing chart');
    case 'drawing':
      if (body.runsOn === undefined || person.role === 'assistant') return yes;
      return no(person, 'say that a drawing runs on after the pose');
    case 'exposure':
      return person.role === 'assistant' ? yes : no(person, 'change the exposure sheet');
    case 'shot':
      return person.role === 'assistant' ? yes : no(person, 'change the title or the rate of a shot');
    case 'level':
    case 'levels':
      return person.role === 'assistant' ? yes : no(person, 'change the levels of a shot');
    case 'plan':
      return person.role === 'assistant' ? yes : no(person, 'set the due date of a shot');
    case 'house rules':
      return person.role === 'assistant' ? yes : no(person, 'set the rules of the house for line');
    case 'drawing state':
      if (body.state !== 'approved') return yes;
      return no(person, 'approve a drawing');
    default:
      return yes;
  }
}

function mayChange(person: Person, to: string, find: (id: string) => Entry | undefined): Answer {
  const target = find(to);
  if (target === undefined) {
    return { may: false, code: 'early', reason: 'What it changes has not arrived here yet.' };
  }
  if (target.writer.id === person.id) return yes;
  const reason = `Only ${target.writer.name} or a director may change or withdraw this.`;
  return { may: false, code: 'owner', reason };
}

function no(person: Person, what: string): Answer {
  return { may: false, code: 'role', reason: `An ${person.role}'s pass does not let one ${what}.` };
}
