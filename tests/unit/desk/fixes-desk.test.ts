import { expect, it } from 'vitest';
import { findingsOf } from '../../../src/desk/findings.ts';
import { fixesOf } from '../../../src/desk/fixes/fixes-desk.ts';
import { notesOf } from '../../../src/desk/notes/notes-desk.ts';
import { openSession } from '../../../src/desk/session.ts';
import { setPerson } from '../../../src/desk/table.ts';
import type { Person } from '../../../src/note/entry.ts';
import type { Shot } from '../../../src/shot/model.ts';
import { shelfWith } from './a-shelf.ts';
import { figure } from './a-shot.ts';
import { handClock } from './hand-clock.ts';

const base: Shot = { id: 'shot-f', title: 'The hat', fps: 24, sizePx: [1920, 1080], levels: [figure] };

async function opened() {
  const session = await openSession(await shelfWith(base), handClock(), base.id);
  if (!session) throw new Error('no session');
  return { session, notes: notesOf(session), desk: fixesOf(session) };
}

const be = (role: Person['role'], id: string): void => setPerson({ id, name: id, role });

async function withNote() {
  be('director', 'Ines');
  const all = await opened();
  all.notes.begin('figure', '2');
  all.notes.write({ text: 'thinner', at: [960, 540] });
  all.notes.pin();
  const row = () => {
    const [first] = all.desk.rows.value;
    if (!first) throw new Error('no row');
    return first;
  };
  return { ...all, row };
}

it('an artist ticks and takes back; a director reopens what another ticked', async () => {
  const { desk, row } = await withNote();
  be('artist', 'Jo');
  desk.tick(row());
  expect(row().state).toBe('fixed');
  desk.tick(row());
  expect(row().state).toBe('open');
  desk.tick(row());
  be('director', 'Ines');
  desk.tick(row());
  expect(row().state).toBe('reopened');
  expect(desk.refusal.value).toBe('');
});

it('an assistant’s tick, and an artist’s on another’s, are refused with the reason, and change nothing', async () => {
  const { desk, session, row } = await withNote();
  be('assistant', 'Kim');
  const before = session.ledger.entries.value.length;
  desk.tick(row());
  expect(desk.refusal.value).toContain('assistant');
  be('artist', 'Jo');
  desk.tick(row());
  expect(desk.refusal.value).toBe('');
  be('artist', 'Mo');
  desk.tick(row());
  expect(desk.refusal.value).toContain('"reopened"');
  expect(row().state).toBe('fixed');
  expect(session.ledger.entries.value).toHaveLength(before + 1);
});

it('findings come into the list by themselves; a tap leads to the drawing, its note or its finding', async () => {
  const { desk, session, notes, row } = await withNote();
  findingsOf(session).found.value = [
    {
      key: 'leaks//figure/1/3/4',
      check: 'leaks',
      level: 'figure',
      drawing: '1',
      bbox: [10, 20, 30, 40],
      message: 'a gap',
      lineDigest: 'a',
    },
  ];
  // Drawing 1 is a key, 2 an in-between.
  expect(desk.rows.value.map(({ drawing, source }) => [drawing, source])).toEqual([
    ['1', 'finding'],
    ['2', 'note'],
  ]);
  desk.goTo(desk.rows.value[1]!);
  expect(session.model.value.drawing).toBe('2');
  expect(session.panel.value).toBe('notes');
  expect(notes.chosen.value).toBe(desk.rows.value[1]?.id);
  desk.goTo(row());
  expect(session.model.value.drawing).toBe('1');
  expect(session.panel.value).toBe('checks');
});

it('of a long list only the line that says something new is another one, so that no other is drawn anew', async () => {
  const { desk, notes, row } = await withNote();
  // Hundreds of notes on one drawing, as on a scene that a whole crew looked through.
  for (let n = 1; n < 500; n++) {
    notes.begin('figure', n % 2 ? '1' : '2');
    notes.write({ text: `note ${n}`, at: [(37 * n) % 1900, (53 * n) % 1000] });
    notes.pin();
  }
  const before = desk.lines.value;
  expect(before).toHaveLength(500);
  const levels = desk.levels.value;
  const ticked = row();
  desk.tick(ticked);
  const after = desk.lines.value;
  const fresh = after.filter((line, n) => line !== before[n]);
  // The ticked one, and those that named it among what they may settle.
  const named = before.filter(({ settles }) => settles.includes(ticked.number));
  expect(fresh.map((line) => line.row.id)).toContain(ticked.id);
  expect(fresh).toHaveLength(1 + named.length);
  expect(desk.levels.value).toBe(levels);
});
