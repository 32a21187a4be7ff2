/** Who may do what: asked by the desk before it offers something, and by the server for every entry. */
import type { Body, Entry, NoteState, Person } from './entry.ts';

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
 * Everyone pins, replies, dismisses, sets tolerances, says how far a drawing is, and edits or withdraws what is
 * their own. An artist says *fixed*; the assistant sets roles, charts, exposures and the plan; the director may
 * do all of it, and alone approves. `find` gives the entry that an edit or
 * withdrawal speaks of: when it has not arrived, the answer is `early`, and worth asking again later.
 * Bodies of later versions are nobody's to judge, and pass.
 */
export function may(person: Person, body: Body, find: (id: string) => Entry | undefined): Answer {
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
    case 'exposure':
      return person.role === 'assistant' ? yes : no(person, 'change the exposure sheet');
    case 'plan':
      return person.role === 'assistant' ? yes : no(person, 'set the due date of a shot');
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
