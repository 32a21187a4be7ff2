// Who may say what of a note: the rights of `may`, case by case from the description in README.
import { describe, expect, it } from 'vitest';
import type { NoteState, Person } from '../../../src/note/entry.ts';
import { may } from '../../../src/note/may.ts';
import { nextStates, tickBody } from '../../../src/note/note-states.ts';

const person = (role: Person['role'], id: string = role): Person => ({ id, name: id, role });
const states: readonly NoteState[] = ['open', 'fixed', 'approved', 'reopened'];
const next = (role: Person['role']) => states.map((state) => nextStates({ id: 'n', state }, person(role)));

describe('the states a note may go to', () => {
  it('are all for a director, and never the one it has', () => {
    expect(next('director')).toEqual([
      ['fixed', 'approved'],
      ['approved', 'reopened'],
      ['reopened'],
      ['fixed', 'approved'],
    ]);
  });
  it('are fixed alone for an artist, and none for an assistant', () => {
    expect(next('artist')).toEqual([['fixed'], [], [], ['fixed']]);
    expect(next('assistant')).toEqual([[], [], [], []]);
  });
  it('are such as the server takes', () => {
    for (const role of ['artist', 'director', 'assistant'] as const)
      for (const state of next(role).flat())
        expect(may(person(role), { kind: 'state', to: 'n', state }, () => undefined)).toEqual({ may: true });
  });
});

describe('a tick', () => {
  const stateBy = (id: string) => ({
    v: 1 as const,
    id: 's',
    shot: 'a',
    writer: person('artist', id),
    stamp: { wallMs: 1, counter: 0 },
    body: { kind: 'state' as const, to: 'n', state: 'fixed' as const },
  });
  const tick = (state: NoteState, by?: string) =>
    tickBody({ id: 'n', state, stateBy: by === undefined ? undefined : stateBy(by) }, person('artist', 'jo'));
  it('says fixed of what is to be mended', () => {
    for (const state of ['open', 'reopened'] as const)
      expect(tick(state)).toEqual({ kind: 'state', to: 'n', state: 'fixed' });
  });
  it('takes back one’s own word, and reopens what another said', () => {
    expect(tick('fixed', 'jo')).toEqual({ kind: 'withdraw', to: 's' });
    expect(tick('fixed', 'mo')).toEqual({ kind: 'state', to: 'n', state: 'reopened' });
    expect(tick('approved', 'jo')).toEqual({ kind: 'state', to: 'n', state: 'reopened' });
  });
});
